package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model/program"
)

// bom is a bill of materials in CycloneDX 1.5, JSON. It has no serial number and no time, so that it
// is the same each time.
type bom struct {
	Format     string     `json:"bomFormat"`
	Spec       string     `json:"specVersion"`
	Version    int        `json:"version"`
	Metadata   metadata   `json:"metadata"`
	Components []bomEntry `json:"components"`
}

type metadata struct {
	Component bomEntry `json:"component"`
}

type bomEntry struct {
	Type     string       `json:"type"`
	Name     string       `json:"name"`
	Version  string       `json:"version,omitempty"`
	PURL     string       `json:"purl,omitempty"`
	Hashes   []bomHash    `json:"hashes,omitempty"`
	Licenses []bomLicence `json:"licenses,omitempty"`
	Held     []bomEntry   `json:"components,omitempty"`
	Facts    []bomFact    `json:"properties,omitempty"`
}

type bomFact struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type bomHash struct {
	Algorithm string `json:"alg"`
	Content   string `json:"content"`
}

type bomLicence struct {
	License struct {
		ID string `json:"id"`
	} `json:"license"`
}

// bill lists the programs that were built for these systems, by their digests, and what they are
// made of.
func (r *release) bill(of []component, systems ...string) ([]byte, error) {
	b := bom{Format: "CycloneDX", Spec: "1.5", Version: 1,
		Metadata: metadata{bomEntry{Type: "application", Name: "counterproof", Version: program.Version}}}
	b.Metadata.Component.Facts = []bomFact{{"commit", r.commit}}
	for _, built := range sortedKeys(r.built) {
		if system, _, _ := strings.Cut(built, " "); !slices.Contains(systems, system) {
			continue
		}
		digest, err := digestOf(r.built[built])
		if err != nil {
			return nil, err
		}
		b.Metadata.Component.Held = append(b.Metadata.Component.Held, bomEntry{Type: "file",
			Name: filepath.Base(r.built[built]), Hashes: []bomHash{{"SHA-256", digest}}})
	}
	for _, c := range of {
		e := bomEntry{Type: "library", Name: c.name, Version: c.version}
		if c.module {
			e.PURL = "pkg:golang/" + c.name + "@" + c.version
		}
		for _, id := range c.identifiers() {
			l := bomLicence{}
			l.License.ID = id
			e.Licenses = append(e.Licenses, l)
		}
		b.Components = append(b.Components, e)
	}
	out, err := json.MarshalIndent(b, "", " ")
	return append(out, '\n'), err
}

func digestOf(path string) (string, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:]), nil
}
