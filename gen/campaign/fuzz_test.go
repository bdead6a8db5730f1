package campaign

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/cert"
	"gainwright/model/tier"
	"gainwright/templates"
)

// FuzzCompile throws texts at the whole check: no panic, no hang, bounded memory; either an error for a person, or a program whose
// certificate stands up to the checker, and the same bytes each time.
func FuzzCompile(f *testing.F) {
	for _, name := range templates.Starters() {
		f.Add(templates.Starter(name))
	}
	for _, pattern := range []string{"../../testdata/specs/*.yaml", "../../testdata/bad/*/spec.yaml"} {
		specs, err := filepath.Glob(pattern)
		if err != nil || len(specs) == 0 {
			f.Fatalf("no specs at %s: %v", pattern, err)
		}
		for i := 0; i < len(specs); i += tier.Count(10, 3, 1) {
			text, err := os.ReadFile(specs[i])
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	for seed := range uint64(tier.Count(10, 30, 100)) {
		f.Add(arbitrary.New("tray", seed).Text())
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		u, _, _ := checked(t, string(text))
		again := model.Compile("hostile.yaml", text)
		if a, b := said(t, u), said(t, again); !bytes.Equal(a, b) {
			t.Errorf("the findings differ from one time to the next:\n%s\n%s", a, b)
		}
		if !u.OK() {
			return
		}
		if err := cert.Check(u.Stored, u.Integer, u.Certificate); err != nil {
			t.Errorf("not proven: %v", err)
		}
		if !bytes.Equal(c.Header(u), c.Header(again)) {
			t.Error("the header differs from one time to the next")
		}
	})
}

// said is all that a check says.
func said(t *testing.T, u *model.Unit) []byte {
	text, err := json.Marshal(struct {
		Findings  any
		Constants any
	}{u.Findings, u.Constants})
	if err != nil {
		t.Fatal(err)
	}
	return text
}
