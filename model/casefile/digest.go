package casefile

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
)

// Digest is a SHA-256 digest. As text it is 64 lower-case hexadecimal digits.
type Digest [sha256.Size]byte

// DigestOf returns the digest of the bytes.
func DigestOf(b []byte) Digest { return sha256.Sum256(b) }

// ParseDigest reads 64 hexadecimal digits. It ignores blanks, colons and hyphens between them,
// because printed pages show digests in groups.
func ParseDigest(s string) (Digest, error) {
	var d Digest
	plain := strings.NewReplacer(" ", "", "\t", "", ":", "", "-", "").Replace(strings.TrimSpace(s))
	b, err := hex.DecodeString(plain)
	if err != nil || len(b) != len(d) {
		return d, fmt.Errorf("%q is not a SHA-256 digest; give its 64 hexadecimal digits", s)
	}
	if d = Digest(b); d.IsZero() {
		return d, fmt.Errorf("%q is the digest of nothing; give the 64 hexadecimal digits that are printed", s)
	}
	return d, nil
}

// IsZero reports whether the digest is unset.
func (d Digest) IsZero() bool { return d == Digest{} }

// String returns the digest's hexadecimal digits.
func (d Digest) String() string { return hex.EncodeToString(d[:]) }

// Groups returns the digits in groups of four, for people to compare.
func (d Digest) Groups() string {
	s := d.String()
	groups := make([]string, 0, len(s)/4)
	for i := 0; i < len(s); i += 4 {
		groups = append(groups, s[i:i+4])
	}
	return strings.Join(groups, " ")
}

// MarshalText writes the digits.
func (d Digest) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads exactly 64 lower-case digits, so that a digest has only one spelling.
func (d *Digest) UnmarshalText(b []byte) error {
	if len(b) != hex.EncodedLen(len(d)) || bytes.ContainsAny(b, "ABCDEF") {
		return fmt.Errorf("%q is not a SHA-256 digest of 64 lower-case hexadecimal digits", b)
	}
	_, err := hex.Decode(d[:], b)
	return err
}
