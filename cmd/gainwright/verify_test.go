package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/model/trial"
	"gainwright/templates"
)

// What verify is there to find: each fault is seen, printed with its tick, and gives exit code 1.
func TestVerifyFindsFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, u *model.Unit)
		want  []string
	}{
		{"another bit in the compiled C", func(t *testing.T, u *model.Unit) {
			script := filepath.Join(t.TempDir(), "cc.sh")
			text := "sed -i 's/= out.heater;/= out.heater + (out.heater == 1000);/' incubator_stream.c\nexec cc \"$@\"\n"
			if err := os.WriteFile(script, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
			t.Setenv("CC", "sh "+script)
		}, []string{"output heater is 1000 in the integer program", "gives 1001", "tick ", "temperature"}},
		{"a value outside its range", func(t *testing.T, u *model.Unit) {
			for i := range u.Integer.Ops {
				if op := &u.Integer.Ops[i]; op.Name == "heat_error" {
					op.Hi /= 2
				}
			}
		}, []string{"value heat_error is ", "the certificate says ["}},
		{"a difference over its bound", func(t *testing.T, u *model.Unit) {
			for i, b := range u.Bounds {
				if u.Integer.Sections[b.Section].Signals[b.Signal].Name == "heat" {
					u.Bounds[i].Local = big.NewRat(1, 100000)
				}
			}
		}, []string{"OVER in ", "signal heat is "}},
	} {
		t.Run(c.name, func(t *testing.T) {
			u := model.Compile("incubator.yaml", templates.Starter("incubator"))
			if !u.OK() {
				t.Fatal(u.Findings)
			}
			c.spoil(t, u)
			var out bytes.Buffer
			err := verifier{context.Background(), newPaper(&out), &out}.ticks(u, 20000, 1)
			f, ok := err.(failure)
			if !ok || f.code != findings {
				t.Errorf("error %v", err)
			}
			for _, want := range append(c.want, "Not good") {
				if !strings.Contains(out.String(), want) {
					t.Errorf("%q is missing:\n%s", want, out.String())
				}
			}
		})
	}
}

// Without a C compiler nothing counts as verified.
func TestVerifyNeedsACompiler(t *testing.T) {
	t.Setenv("CC", "no-such-compiler")
	path := filepath.Join(t.TempDir(), "incubator.yaml")
	if err := os.WriteFile(path, templates.Starter("incubator"), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := Do([]string{"verify", path, "--ticks", "100"}, strings.NewReader(""), &out, &errs); code != findings || !strings.Contains(errs.String(), "no C compiler") {
		t.Errorf("exit %d, %s%s", code, out.String(), errs.String())
	}
}

// TestVerifyOnJSON: --on says the same in JSON as in text, for a part with a proven worst tick and one without, and where bits differ.
func TestVerifyOnJSON(t *testing.T) {
	tier.Slow(t)
	u := model.Compile("incubator.yaml", templates.Starter("incubator"))
	said := func(json bool) string {
		var out bytes.Buffer
		v := verifier{t.Context(), newPaper(&out), &out}
		v.p.json = json
		err := v.on(u, []string{"avr8", "cortex-m0"}, 2000, 3)
		if err != nil && strings.Contains(err.Error(), "this machine lacks") && !tier.All() {
			t.Skip(err)
		}
		if err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	text := said(false)
	var a map[string]any
	if err := json.Unmarshal([]byte(said(true)), &a); err != nil {
		t.Fatal(err)
	}
	parts := a["parts"].([]any)
	if a["verdict"] != "good" || a["seed"] != 3.0 || len(parts) != 2 {
		t.Fatalf("%v", a)
	}
	for _, one := range parts {
		p := one.(map[string]any)
		proven := ""
		if p["proven_worst"] != nil {
			proven = fmt.Sprintf("%.0f ", p["proven_worst"])
		}
		row := fmt.Sprintf("%s %s %.0f %.0f %.0f MEAN %s%s %.0f %.0f %.0f", p["target"], p["part"], p["ticks"], p["differing_bits"], p["worst"], proven, p["unit"], p["flash"], p["ram"], p["stack"])
		found := false
		for line := range strings.Lines(text) {
			now := strings.Join(strings.Fields(line), " ")
			for _, mean := range []float64{math.Floor(p["mean"].(float64)), math.Ceil(p["mean"].(float64))} {
				found = found || now == strings.Replace(row, "MEAN", fmt.Sprint(mean), 1)
			}
		}
		if !found || (p["target"] == "avr8") != (p["proven_worst"] != nil) {
			t.Errorf("%s is not in\n%s", row, text)
		}
	}
}

// TestPartOfFaults: differing bits and what they are come out for programs.
func TestPartOfFaults(t *testing.T) {
	r := &trial.Result{Kinds: []trial.Kind{{Same: trial.Same{Bits: 2, Values: 1}, Faults: []*trial.Fault{{}}}, {Same: trial.Same{Bits: 3}}}}
	parts := partTable()
	addPart(parts, "rv32imc", target.Measured{Unit: "instructions", Unproven: "no table", Mean: 12.345}, r, nil)
	text, err := json.Marshal(parts)
	if want := `[{"target":"rv32imc","part":"","ticks":0,"differing_bits":5,"worst":0,"mean":12.3,"proven_worst":null,"why_not_proven":"no table","unit":"instructions","flash":0,"ram":0,"stack":0,"faults":["`; err != nil || !strings.HasPrefix(string(text), want) {
		t.Errorf("%v\n%s", err, text)
	}
}

// TestNoSentinelsInJSON: what was not reached or does not apply is null in JSON, never a number that stands for it, and estimates are whole.
func TestNoSentinelsInJSON(t *testing.T) {
	path := filepath.Join(t.TempDir(), "incubator.yaml")
	text := string(templates.Starter("incubator"))
	for _, c := range []struct{ name, text, command, null string }{
		{"a run", text, "simulate", `"cut_off_s": null`},
		{"a run that never settles", strings.Replace(text, "band: 0.5 K", "band: 0.001 K", 1), "simulate", `"settles_s": null`},
		{"runs without a disturbance", strings.Replace(regexp.MustCompile(`(?m)^ *disturbances:.*(\n +-.*)*`).ReplaceAllString(text, ""), "recovers_in: 30 min, ", "", 1), "simulate --runs 2", "null"},
		{"an estimate", text, "check", ""},
	} {
		if err := os.WriteFile(path, []byte(c.text), 0o644); err != nil {
			t.Fatal(err)
		}
		var out, errs bytes.Buffer
		Do(append(strings.Fields(c.command), path, "--format", "json"), strings.NewReader(""), &out, &errs)
		if !strings.Contains(out.String(), c.null) || !strings.HasPrefix(out.String(), "{") {
			t.Errorf("%s: %q is missing:\n%s%s", c.name, c.null, out.String(), errs.String())
		}
		if bad := regexp.MustCompile(`(?m)^.*(: |^ +)-1,?$|"(tick|cost|by_rule|wide)": [0-9]*\.[0-9]+`).FindString(out.String()); bad != "" {
			t.Errorf("%s: %s", c.name, bad)
		}
	}
}

// TestUnprovenForPeople: where no worst tick is proven, the steps that stand in the way are named, and what helps.
func TestUnprovenForPeople(t *testing.T) {
	u := model.Compile("wide.yaml", []byte(`controller: wide
rate: 100 Hz
target: avr8
inputs:
  x: {raw: int32, unit: m, counts_per_unit: 1000000}
steps:
  slow: {kind: low_pass, of: x, cutoff: 0.1 Hz}
outputs:
  o: {from: slow, raw: int32, unit: m, counts_per_unit: 1000000}
`))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	f := unproven(u, "the loop through 0x7dc in __ashldi3 does not count from a constant")
	if f == nil || f.Pos.Line != 7 || strings.Contains(f.Message, "0x") || !strings.Contains(strings.Join(f.Because, " "), "in slow") || !strings.Contains(f.Remedy, "so that slow") {
		t.Errorf("%+v", f)
	}
	if f := unproven(u, ""); f != nil {
		t.Errorf("nothing is missing, and yet %v", f)
	}
}
