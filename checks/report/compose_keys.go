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
	c.add(facts{[]fact{
		{label: "Journal head", lines: []words{code(groups(c.Head)),
			say(fmt.Sprintf("entry %d, %s", c.Entries, moment(c.Made)))}},
		{label: "SHA-256 of report.json", lines: []words{code(c.digest.Groups())}},
	}})
	c.add(heading{"Public keys", true})
	for _, p := range c.People {
		word := "since entry " + strconv.FormatInt(p.Since, 10)
		if p.Until > 0 {
			word = fmt.Sprintf("entries %d to %d, then replaced", p.Since, p.Until)
		}
		rows := []fact{
			{label: "Fingerprint", lines: []words{code(groups(p.Fingerprint))}},
			{label: "Key (" + p.ID + ".pem)", lines: []words{code(spki(p.PublicKey))}},
		}
		for _, s := range c.Signatures {
			if s.Person == p.ID {
				rows = append(rows, fact{label: "Signature (" + p.ID + ".sig)",
					lines: []words{code(base64.StdEncoding.EncodeToString(s.Signature))}})
			}
		}
		c.add(entry{title: p.Name + ", " + p.Party, word: strings.ToLower(seatWord(p.Seat)) + ", " + word, rows: rows})
	}
	c.add(heading{"How to check it without this program", true})
	c.add(paragraph{say("With the evidence folder these files are there already; from paper they can be typed. The " +
		"tools are sha256sum, openssl (3.0 or later) and sqlite3, as any Linux system has them. report.json holds " +
		"everything that these pages say, as text."), body})
	c.add(bullets{[]words{say("The signed file is report.json. Its digest must be the one above:")}, false},
		commands{[]string{"sha256sum report.json"}})
	c.add(bullets{[]words{say("Save a public key as p1.pem, in three lines:")}, false},
		commands{[]string{"-----BEGIN PUBLIC KEY-----", "(the key above)", "-----END PUBLIC KEY-----"}})
	c.add(bullets{[]words{say("It must be the person's key: this prints the fingerprint, without its spaces. Compare it " +
		"with a printed page that the person kept.")}, false},
		commands{[]string{"openssl pkey -pubin -in p1.pem -outform DER | tail -c 32 | sha256sum"}})
	c.add(bullets{[]words{say("Save the signature, and check it. The answer must be: Signature Verified Successfully")},
		false},
		commands{[]string{"echo '(the signature above)' | base64 -d > p1.sig",
			"openssl pkeyutl -verify -pubin -inkey p1.pem -rawin -in report.json -sigfile p1.sig"}})
	c.add(bullets{[]words{say("The case holds the journal. This prints its head at the entry above:")}, false},
		commands{[]string{fmt.Sprintf("sqlite3 NAME.counterproof 'select lower(hex(hash)) from journal where seq = %d'",
			c.Entries)}})
}

// spki writes an Ed25519 public key as the base64 of its SubjectPublicKeyInfo (RFC 8410).
func spki(key []byte) string {
	return base64.StdEncoding.EncodeToString(append([]byte{0x30, 0x2a, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x03,
		0x21, 0x00}, key...))
}
