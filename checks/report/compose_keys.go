package report

import (
	"encoding/base64"
	"fmt"
	"strconv"
	"strings"
)

// keys composes the public keys, and instructions for checking the report without this program.
func (c *composer) keys() {
	c.add(section{"Keys, and how to check this report"})
	rows := []fact{
		{label: "Journal head", lines: []words{append(code(groups(c.Head)),
			run{fmt.Sprintf("  (entry %d)", c.Entries), plain})}},
		{label: "SHA-256 of report.json", lines: []words{code(c.digest.Groups())}},
	}
	if c.Annex != "" {
		rows = append(rows, fact{label: "SHA-256 of annex.json", lines: []words{code(groups(c.Annex))}})
	}
	c.add(facts{rows, small})
	c.add(heading{"Public keys, with the signatures", true})
	for _, p := range c.People {
		word := "since entry " + strconv.FormatInt(p.Since, 10)
		if p.Until > 0 {
			word = fmt.Sprintf("entries %d to %d, then replaced", p.Since, p.Until)
		}
		rows := []fact{
			{label: "Fingerprint", lines: []words{code(groups(p.Fingerprint))}, fine: true},
			{label: p.ID + ".pem", lines: []words{code(spki(p.PublicKey))}, fine: true},
		}
		for _, s := range c.Signatures {
			if s.Person == p.ID {
				rows = append(rows, fact{label: p.ID + ".sig",
					lines: []words{code(base64.StdEncoding.EncodeToString(s.Signature))}, fine: true})
			}
		}
		c.add(entry{title: p.Name + ", " + p.Party, word: strings.ToLower(seatWord(p.Seat)) + ", " + word, rows: rows})
	}
	c.recipes()
}

// recipes tells how to check the report with what Linux, macOS and Windows have. sha256sum and
// openssl are tested; the commands of macOS and Windows are written from their documentation.
func (c *composer) recipes() {
	step := func(text string, on ...fact) {
		c.add(bullets{[]words{say(text)}, false}, facts{on, small})
	}
	on := func(system string, lines ...string) fact {
		f := fact{label: system}
		for _, x := range lines {
			f.lines = append(f.lines, code(x))
		}
		return f
	}
	c.add(heading{"How to check it without this program", true})
	c.add(paragraph{say("The evidence folder has the files that are named here; from paper they can be typed. " +
		"Signatures need openssl 3.0 or later: macOS has another program of that name, and Windows none, so it has to " +
		"be installed there."), body})
	files := "report.json annex.json"
	if c.Annex == "" {
		files = "report.json"
	}
	step("The digests of the signed files must be those above. Windows takes one file at a time.",
		on("Linux", "sha256sum "+files),
		on("macOS", "shasum -a 256 "+files),
		on("Windows, prompt", "certutil -hashfile report.json SHA256"),
		on("PowerShell", "Get-FileHash -Algorithm SHA256 report.json"))
	step("A public key is saved as p1.pem, with a line above it and one below:",
		on("above, below", "-----BEGIN PUBLIC KEY-----", "-----END PUBLIC KEY-----"))
	step("It must be the person's key: this prints its fingerprint. Compare it with a printed page that the person kept.",
		on("Linux", "openssl pkey -pubin -in p1.pem -outform DER | tail -c 32 | sha256sum"),
		on("macOS", "openssl pkey -pubin -in p1.pem -outform DER | tail -c 32 | shasum -a 256"),
		on("PowerShell", "openssl pkey -pubin -in p1.pem -outform DER -out p1.der",
			`$b = [IO.File]::ReadAllBytes("$PWD\p1.der")`,
			`[IO.File]::WriteAllBytes("$PWD\p1.raw", [byte[]]$b[-32..-1])`,
			"Get-FileHash -Algorithm SHA256 p1.raw"))
	step("A signature that was typed into p1.txt is made a file:",
		on("Linux, macOS", "base64 -d < p1.txt > p1.sig"),
		on("Windows, prompt", "certutil -decode p1.txt p1.sig"))
	step("The signature is checked. The answer must be: Signature Verified Successfully",
		on("all", "openssl pkeyutl -verify -pubin -inkey p1.pem -rawin -in report.json -sigfile p1.sig"))
}

// spki writes an Ed25519 public key as the base64 of its SubjectPublicKeyInfo (RFC 8410).
func spki(key []byte) string {
	return base64.StdEncoding.EncodeToString(append([]byte{0x30, 0x2a, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x03,
		0x21, 0x00}, key...))
}
