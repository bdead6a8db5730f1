package spec

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gainwright/model/finding"
	"gainwright/model/tier"
)

const cart = `controller: cart
about: Two-wheeled seedling cart that keeps its tray level.
rate: 200 Hz
target: avr8

inputs:
  accel_forward: {raw: int16, unit: g,     counts_per_unit: -16384, range: [-1.9, 1.9]}   # sensor mounted backwards
  accel_up:      {raw: int16, unit: g,     counts_per_unit: 16384,  range: [-1.9 g, 1.9 g]}
  pitch_rate:    {raw: int16, unit: deg/s, counts_per_unit: 131}
  upright:       {raw: bool}

steps:
  rate:    {kind: bias_at_rest, of: pitch_rate, limit: 25 deg/s, average: 256 ticks}
  tilt:    {kind: complementary, angle: rate, blend: "0.96", mix: {left: [1, -1]}}
  effort:  {kind: pid, measured: tilt, kp: 24, limits: [-320, 320]}

outputs:
  drive: {from: effort, raw: int16, unit: duty, limits: [-320, 320], least_effort: 16}
  bias: {from: rate.bias, raw: int32, unit: deg/s, counts_per_unit: 1000}

tuning: {effort.kp: [0, 60]}
accuracy: {tilt: 0.03 deg, drive: 1 count, rate.bias: 1 deg/s}
formats: {tilt: Q8.7}
`

func TestReadGood(t *testing.T) {
	s, found := Read("cart.yaml", []byte(cart))
	if len(found) > 0 {
		t.Fatalf("unexpected findings:\n%s", show(found))
	}
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	say("%s | %s | %s %s | %s %s", s.Name, s.About, s.Rate.RatString(), s.RatePos, s.Target, s.NamePos)
	for _, i := range s.Inputs {
		if i.Raw == "bool" {
			say("%s %s %s %v", i.Pos, i.Name, i.Raw, i.CountsPerUnit == nil && i.Lo == nil)
			continue
		}
		say("%s %s %s %s %s %s [%s, %s]", i.Pos, i.Name, i.Raw, i.Unit, i.CountsPerUnit.RatString(), i.Offset.RatString(), i.Lo.RatString(), i.Hi.RatString())
	}
	for _, st := range s.Steps {
		say("%s %s %s %s", st.Pos, st.Name, st.KindPos, st.Kind)
		for _, a := range st.Args {
			say("  %s %s %s", a.Pos, a.Key, tree(a.Value))
		}
	}
	for _, o := range s.Outputs {
		say("%s %s %s %s %s %s %s %v %v %s %v", o.Pos, o.Name, o.From, o.FromPos, o.Raw, o.Unit, o.CountsPerUnit.RatString(), o.Lo, o.Hi, o.LimitsPos, o.LeastEffort)
	}
	for _, x := range s.Tuning {
		say("%s %s [%s, %s]", x.Pos, x.Key, x.Lo.RatString(), x.Hi.RatString())
	}
	for _, x := range s.Accuracy {
		say("%s %s %s %s", x.Pos, x.Name, x.Max.Number.RatString(), x.Max.Unit)
	}
	for _, x := range s.Formats {
		say("%s %s Q%d.%d", x.Pos, x.Name, x.M, x.N)
	}
	want := `cart | Two-wheeled seedling cart that keeps its tray level. | 200 cart.yaml:3:7 | avr8 cart.yaml:1:13
cart.yaml:7:3 accel_forward int16 g -16384 0 [-19/10, 19/10]
cart.yaml:8:3 accel_up int16 g 16384 0 [-19/10, 19/10]
cart.yaml:9:3 pitch_rate int16 deg/s 131 0 [-32768/131, 32767/131]
cart.yaml:10:3 upright bool true
cart.yaml:13:3 rate cart.yaml:13:19 bias_at_rest
  cart.yaml:13:33 of 13:37 pitch_rate
  cart.yaml:13:49 limit 13:56 25 deg/s
  cart.yaml:13:66 average 13:75 256 ticks
cart.yaml:14:3 tilt cart.yaml:14:19 complementary
  cart.yaml:14:34 angle 14:41 rate
  cart.yaml:14:47 blend 14:54 "0.96"
  cart.yaml:14:62 mix 14:67 {left: 14:74 [14:75 1, 14:78 -1]}
cart.yaml:15:3 effort cart.yaml:15:19 pid
  cart.yaml:15:24 measured 15:34 tilt
  cart.yaml:15:40 kp 15:44 24
  cart.yaml:15:48 limits 15:56 [15:57 -320, 15:63 320]
cart.yaml:18:3 drive effort cart.yaml:18:17 int16 duty 1 -320/1 320/1 cart.yaml:18:57 16/1
cart.yaml:19:3 bias rate.bias cart.yaml:19:16 int32 deg/s 1000 <nil> <nil>  <nil>
cart.yaml:21:10 effort.kp [0, 60]
cart.yaml:22:12 tilt 3/100 deg
cart.yaml:22:28 drive 1 count
cart.yaml:22:44 rate.bias 1 deg/s
cart.yaml:23:11 tilt Q8.7
`
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("read differs (-want +got):\n%s", d)
	}
	if sum := sha256.Sum256([]byte(cart)); s.Hash != fmt.Sprintf("%x", sum) {
		t.Errorf("hash %q", s.Hash)
	}
}

// tree shows a value in one line.
func tree(v Value) string {
	at := fmt.Sprintf("%d:%d ", v.Pos.Line, v.Pos.Col)
	var parts []string
	switch v.Shape {
	case List:
		for _, i := range v.Items {
			parts = append(parts, tree(i))
		}
		return at + "[" + strings.Join(parts, ", ") + "]"
	case Map:
		for _, p := range v.Pairs {
			parts = append(parts, p.Key+": "+tree(p.Value))
		}
		return at + "{" + strings.Join(parts, ", ") + "}"
	}
	if v.Quoted {
		return at + `"` + v.Text + `"`
	}
	return at + v.Text
}

func TestRate(t *testing.T) {
	for text, want := range map[string]string{
		"200 Hz": "200", "1 kHz": "1000", "5 ms": "200", "1 s": "1", "125 us": "8000", "0.1 Hz": "1/10", "3600 s": "1/3600", "1000 kHz": "1000000",
	} {
		s, found := Read("s.yaml", []byte(strings.Replace(cart, "200 Hz", text, 1)))
		if len(found) > 0 || s.Rate.RatString() != want {
			t.Errorf("%s: got %v\n%s", text, s.Rate, show(found))
		}
	}
}

// What is wrong in one place must not hide what is right elsewhere.
func TestReadPartly(t *testing.T) {
	text := strings.Replace(cart, "counts_per_unit: 131", "counts_per_unit: many", 1)
	s, found := Read("cart.yaml", []byte(text))
	if len(found) != 1 {
		t.Fatalf("got\n%s", show(found))
	}
	if s.Name != "cart" || len(s.Inputs) != 4 || len(s.Steps) != 3 || len(s.Outputs) != 2 || s.Inputs[2].Unit != "deg/s" || s.Inputs[2].CountsPerUnit != nil {
		t.Errorf("got %+v", s)
	}
}

// Hostile texts end in findings, quickly.
func TestHostile(t *testing.T) {
	n := maxSource
	var deep strings.Builder
	for i := 0; deep.Len() < n-2000; i++ {
		deep.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	var names strings.Builder
	names.WriteString("outputs: {}\nsteps: {a: {kind: b}}\ninputs:\n")
	for i := range maxEntries {
		fmt.Fprintf(&names, "  abcdefghijklmnopqrstuvwx%04d: {raw: bool}\n", i)
	}
	names.WriteString("accuracy:\n")
	for i := range maxEntries {
		fmt.Fprintf(&names, "  abcdefghijklmnopqrstuvwy%d: 1 g\n", i)
	}
	names.WriteString("formats:\n")
	for i := range maxEntries {
		fmt.Fprintf(&names, "  abcdefghijklmnopqrstuvwz%d: Q8.7\n", i)
	}
	for name, c := range map[string]struct{ text, rule string }{
		"too large":     {strings.Repeat("#\n", n), "too-large"},
		"brackets":      {"a: " + strings.Repeat("[", n-10), "too-deep"},
		"deep flow":     {"a: " + strings.Repeat("[", 5000) + strings.Repeat("]", 5000), "too-deep"},
		"deep block":    {deep.String(), "too-deep"},
		"dashes":        {strings.Repeat("- ", n/2), "too-deep"},
		"alias bomb":    {"a: &a [1,1]\nb: &b [*a,*a]\nc: &c [*b,*b]\nsteps: *c\n", "yaml-alias"},
		"unknown alias": {"a: *nowhere\n", "yaml-alias"},
		"long scalar":   {"about: " + strings.Repeat("a", n-10), "too-long"},
		"long key":      {strings.Repeat("a", 1000) + ": 1\n", "unknown-key"},
		"huge key":      {"steps: {" + strings.Repeat("a", 1020) + ": 1}\n", "bad-name"},
		"flow map":      {"{b: 1, b: 2}\n", "duplicate-key"},
		"late mistake":  {strings.Repeat("a:\n", n/3-10) + "b: c: d\n", "yaml-syntax"},
		"late bracket":  {strings.Repeat("- {a: 1}\n", n/9-10) + "- [\n", "yaml-syntax"},
		"one key":       {strings.Repeat("a:\n", n/3), "too-many-findings"},
		"commas":        {"steps: [" + strings.Repeat("a,", n/2-10) + "]", "wrong-shape"},
		"misspelt":      {names.String(), "too-many-findings"},
		"big number":    {"rate: 1e999999999 Hz\n", "bad-quantity"},
		"NUL":           {"rate: \x00\n", "bad-character"},
		"not UTF-8":     {"about: \xff\xfe\n", "bad-character"},
		"UTF-16":        {"\xff\xfea\x00:\x00", "bad-character"},
		"documents":     {strings.Repeat("---\na: 1\n", n/9), "several-documents"},
		"complex key":   {"? [a, b]\n: 1\n", "bad-key"},
		"tag":           {"about: !!python/object x\n", "yaml-tag"},
		"bare tag":      {"about: ! x\n", "yaml-tag"},
		"merge":         {"steps: {<<: {a: 1}}\n", "yaml-merge"},
	} {
		var s *Spec
		var found finding.List
		took := tier.Took(func() { s, found = Read("h.yaml", []byte(c.text)) })
		if took > 5*time.Second { // the slowest takes 1 s
			t.Errorf("%s: took %v", name, took)
		}
		t.Logf("%s: %v, %d findings", name, took.Round(time.Millisecond), len(found))
		if !strings.Contains(show(found), "["+c.rule+"]") {
			t.Errorf("%s: want %s, got\n%.2000s", name, c.rule, show(found))
		}
		checkFindings(t, c.text, s, found)
	}
}

func TestManyEntries(t *testing.T) {
	var b strings.Builder
	b.WriteString("steps:\n")
	for i := range maxEntries + 1 {
		fmt.Fprintf(&b, "  s%d: {kind: clamp}\n", i)
	}
	s, found := Read("m.yaml", []byte(b.String()))
	if len(s.Steps) != maxEntries || !strings.Contains(show(found), fmt.Sprintf("%d entries; at most %d are read [too-many]", maxEntries+1, maxEntries)) {
		t.Errorf("got %d steps\n%s", len(s.Steps), show(found))
	}
}

func BenchmarkRead(b *testing.B) {
	for b.Loop() {
		Read("cart.yaml", []byte(cart))
	}
}
