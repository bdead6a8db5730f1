package gen

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"regexp"

	"gainwright/gen/summary"
	"gainwright/model"
)

// RecordName is the file that says what the other files of a controller's folder were made from. FlatRecordName is
// where earlier versions put it, which wrote every file into one folder.
const (
	RecordName     = Host + "/" + FlatRecordName
	FlatRecordName = "gainwright.json"
)

// Record is the content of that file. A later run reads it to tell which files were edited by hand
// and which formats changed.
type Record struct {
	Tool       string            `json:"tool"`
	Controller string            `json:"controller"`
	Spec       string            `json:"spec"` // base name
	SpecSHA256 string            `json:"spec_sha256"`
	Files      map[string]string `json:"files"` // SHA-256 of each other file, hexadecimal, by path
	Signals    []Stored          `json:"signals"`
	States     []Stored          `json:"states"`
	Gains      []Stored          `json:"gains"`         // numbers that live gains become
	Setters    map[string]string `json:"setter_counts"` // what one count of each live gain's setter is, by the gain's key
	Constants  any               `json:"constants"`     // what each number of the spec became, for programs
}

// Stored is how a signal or state is stored, and what it can reach.
type Stored = summary.Stored

func record(u *model.Unit, files map[string][]byte) *Record {
	signals, states := summary.Values(u)
	spec := summary.SpecOf(u)
	r := &Record{Tool: summary.Tool(), Controller: spec.Controller, Spec: spec.File, SpecSHA256: spec.SHA256, Files: map[string]string{},
		Signals: stored(signals), States: stored(states), Gains: stored(summary.Gains(u)), Setters: summary.SetterCounts(u), Constants: summary.Constants(u)}
	for name, content := range files {
		r.Files[name] = Sum(content)
	}
	return r
}

func stored(values []summary.Value) []Stored {
	out := []Stored{}
	for _, v := range values {
		out = append(out, v.Stored)
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

// MostRecord is more bytes than any record has. A longer one was not written by this tool.
const MostRecord = 16 << 20

// ReadRecord reads a record that an earlier run wrote. Anybody may have changed it since: what it says is held to
// the shape that this tool gives it, so that no path leaves the folder and no text harms a terminal.
func ReadRecord(content []byte) (*Record, error) {
	if len(content) > MostRecord {
		return nil, fmt.Errorf("%s is larger than %d MiB, so it is no record of generated files", FlatRecordName, MostRecord>>20)
	}
	r := &Record{}
	if err := json.Unmarshal(content, r); err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", FlatRecordName, err)
	}
	if r.Controller == "" || r.Files == nil {
		return nil, fmt.Errorf("%s is no record of generated files", FlatRecordName)
	}
	if !controllerName.MatchString(r.Controller) {
		return nil, fmt.Errorf("%s names a controller as none is called: %.80q", FlatRecordName, r.Controller)
	}
	for name := range r.Files {
		if !fileName.MatchString(name) {
			return nil, fmt.Errorf("%s lists a file as this tool writes none: %.80q", FlatRecordName, name)
		}
	}
	for key, count := range r.Setters {
		if !gainKey.MatchString(key) || !decimalCount.MatchString(count) {
			return nil, fmt.Errorf("%s gives a count for a setter as this tool writes none: %.80q: %.80q", FlatRecordName, key, count)
		}
	}
	for _, list := range [][]Stored{r.Signals, r.States, r.Gains} {
		for _, s := range list {
			if text := s.Name + s.Notation + string(s.Type); !plain.MatchString(text) {
				return nil, fmt.Errorf("%s holds a text that this tool does not write: %.80q", FlatRecordName, text)
			}
		}
	}
	return r, nil
}

var (
	controllerName = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	fileName       = regexp.MustCompile(`^(host/)?[a-z][a-z0-9_]*\.(h|c|go|mod|json)$`)
	gainKey        = regexp.MustCompile(`^[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*$`)
	decimalCount   = regexp.MustCompile(`^(1|0\.0{0,40}1)$`)
	plain          = regexp.MustCompile(`^[ -~]*$`)
)
