package gen

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"gainwright/gen/summary"
	"gainwright/model"
)

// RecordName is the file that says what the other files of its folder were made from.
const RecordName = "gainwright.json"

// Record is the content of that file. A later run reads it to tell which files were edited by hand
// and which formats changed.
type Record struct {
	Tool       string             `json:"tool"`
	Controller string             `json:"controller"`
	Spec       string             `json:"spec"` // base name
	SpecSHA256 string             `json:"spec_sha256"`
	Files      map[string]string  `json:"files"` // SHA-256 of each other file, hexadecimal
	Signals    []Stored           `json:"signals"`
	States     []Stored           `json:"states"`
	Gains      []Stored           `json:"gains"` // numbers that live gains become
	Constants  []summary.Constant `json:"constants"`
}

// Stored is how a signal or state is stored, and what it can reach.
type Stored struct {
	Name string `json:"name"`
	Unit string `json:"unit,omitempty"`
	summary.Format
}

func record(u *model.Unit, files map[string][]byte) *Record {
	s := summary.Of(u)
	r := &Record{Tool: s.Tool, Controller: s.Spec.Controller, Spec: s.Spec.File, SpecSHA256: s.Spec.SHA256, Files: map[string]string{},
		Signals: stored(s.Signals), States: stored(s.States), Gains: stored(summary.Gains(u)), Constants: s.Constants}
	for name, content := range files {
		r.Files[name] = Sum(content)
	}
	return r
}

func stored(values []summary.Value) []Stored {
	out := []Stored{}
	for _, v := range values {
		out = append(out, Stored{v.Name, v.Unit, v.Format})
	}
	return out
}

// Sum is the SHA-256 of a file's content, hexadecimal.
func Sum(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

func (r *Record) bytes() []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(r); err != nil {
		panic("gen: the record is plain data: " + err.Error())
	}
	return b.Bytes()
}

// ReadRecord reads a record that an earlier run wrote.
func ReadRecord(content []byte) (*Record, error) {
	r := &Record{}
	if err := json.Unmarshal(content, r); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", RecordName, err)
	}
	if r.Controller == "" || r.Files == nil {
		return nil, fmt.Errorf("%s is no record of generated files", RecordName)
	}
	return r, nil
}
