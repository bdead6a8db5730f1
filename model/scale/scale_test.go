package scale_test

import (
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/program"
)

// compiled keeps what several tests look at and none changes.
var compiled = map[string]*model.Unit{}

func compile(t *testing.T, text string) *model.Unit {
	t.Helper()
	u := compiled[text]
	if u == nil {
		u = model.Compile("spec.yaml", []byte(text))
		compiled[text] = u
	}
	if !u.OK() {
		t.Fatalf("not compiled: %v\n%s", u.Findings, text)
	}
	return u
}

// specs are the starters and some that stretch scales: tiny and huge constants, odd units of counting, turned sensors.
func specs(t *testing.T) map[string]string {
	out := map[string]string{}
	files, _ := filepath.Glob("../../templates/starters/*.yaml")
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(f)] = string(text)
	}
	for name, steps := range map[string]string{
		"slow": "  y: {kind: low_pass, of: a, time_constant: 2000 s}",
		"tiny": "  y: {kind: sum, of: {a: 0.0001, b: -0.00003}}",
		"huge": "  y: {kind: sum, of: {a: 1234.5, b: 3}, limits: [-30000, 30000]}",
		"pid":  "  y: {kind: pid, target: b, measured: a, unit: m, kp: 0.037, ki: 0.002, kd: 1.7, limits: [-9, 8]}",
	} {
		out[name] = fmt.Sprintf(`controller: c
rate: 97 Hz
target: portable
inputs:
  a: {raw: int16, unit: m, counts_per_unit: -37.3, offset: 2.25, range: [-800, 800]}
  b: {raw: uint16, unit: m, counts_per_unit: 131, range: [0, 400]}
steps:
%s
outputs:
  o: {from: y, raw: int32, unit: m, counts_per_unit: 1000}
`, steps)
	}
	if len(out) < 7 {
		t.Fatalf("%d specs", len(out))
	}
	return out
}

// TestStoredIsAsked: the stored program is the asked one but for its constants; each that differs is listed, is the next
// count to what was asked, and is as large as its count says.
func TestStoredIsAsked(t *testing.T) {
	for name, text := range specs(t) {
		u := compile(t, text)
		listed := map[string]int{}
		for _, c := range u.Constants {
			value := new(big.Rat).Mul(c.LSB, big.NewRat(c.Count, 1))
			off := new(big.Rat).Sub(c.Stored, c.Asked)
			half := new(big.Rat).Mul(new(big.Rat).Abs(c.LSB), big.NewRat(1, 2))
			if c.Live { // its setter counts decimals: the count may be the one beside where they tie, to a thousandth
				half.Mul(half, big.NewRat(1001, 1000))
			}
			if value.Cmp(c.Stored) != 0 || off.Abs(off).Cmp(half) > 0 {
				t.Errorf("%s: %s is asked as %v, stored as %v, %d counts of %v", name, c.Name, c.Asked, c.Stored, c.Count, c.LSB)
			}
			if !c.Live {
				listed[ratio(c.Asked, c.Stored)]++
			}
		}
		differ := 0
		for i, a := range u.Asked.Ops {
			s := u.Stored.Ops[i]
			if a.K == nil || a.K.Cmp(s.K) == 0 {
				continue
			}
			differ++
			if listed[ratio(a.K, s.K)] == 0 {
				t.Errorf("%s: %s is %v, stored as %v, and in no list", name, a.Name, a.K, s.K)
			}
			s.K = a.K
			if d := cmp.Diff(a, s, compareRats, cmpopts.EquateEmpty()); d != "" {
				t.Errorf("%s: more than a constant changed in %s: %s", name, a.Name, d)
			}
		}
		if differ == 0 && name != "cart_log.yaml" {
			t.Errorf("%s: no constant was rounded: the test says nothing", name)
		}
		if d := cmp.Diff(u.Asked.Outputs, u.Stored.Outputs, compareRats); d != "" {
			t.Errorf("%s: outputs: %s", name, d)
		}
	}
}

var compareRats = cmp.Comparer(func(a, b *big.Rat) bool { return a == b || a != nil && b != nil && a.Cmp(b) == 0 })

// ratio tells constants apart: a list may say a gain in its own unit, the program times a factor.
func ratio(asked, stored *big.Rat) string {
	if asked.Sign() == 0 {
		return "0"
	}
	return new(big.Rat).Quo(stored, asked).RatString()
}

// TestSetter: at start a live gain is the count that is listed, and any setting gives the next count to what it says, but for
// the rounding of the constant that merges it.
func TestSetter(t *testing.T) {
	live := 0
	for name, text := range specs(t) {
		u := compile(t, text)
		for i, c := range u.Integer.Coefs {
			s, gain := c.Setter, u.Integer.Gains[c.Gain]
			var listed *model.Constant
			for j := range u.Constants {
				if k := &u.Constants[j]; k.Live && k.Name == gain.Name {
					listed = k
				}
			}
			if listed == nil || s.Apply(s.XStart) != listed.Count {
				t.Errorf("%s: %s starts at %d, listed as %+v", name, gain.Name, s.Apply(s.XStart), listed)
				continue
			}
			live++
			unit := new(big.Rat).Quo(c.LSB, u.Stored.Coefs[i].Factor) // of the gain, for one count
			power := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(s.Digits)), nil))
			for k := int64(0); k <= 1000; k++ {
				x := s.XLo + (s.XHi-s.XLo)*k/1000
				exact := new(big.Rat).Quo(new(big.Rat).Quo(big.NewRat(x, 1), power), unit)
				off := new(big.Rat).Sub(big.NewRat(s.Apply(x), 1), exact)
				most := new(big.Rat).Abs(exact) // half a count, and what 14 bits of the merged constant leave of the size
				most.Add(most.Mul(most, big.NewRat(1, 1<<14)), big.NewRat(501, 1000))
				if off.Abs(off).Cmp(most) > 0 {
					t.Errorf("%s: the setting %d of %s gives %d counts, %s is exact", name, x, gain.Name, s.Apply(x), exact.FloatString(4))
					break
				}
			}
			for end, x := range map[*big.Rat]int64{gain.Lo: s.XLo, gain.Hi: s.XHi, gain.Value: s.XStart} {
				if got := new(big.Rat).Quo(big.NewRat(x, 1), power); got.Cmp(end) != 0 {
					t.Errorf("%s: %s is set by %d, which is %v, want %v", name, gain.Name, x, got, end)
				}
			}
		}
	}
	if live < 8 {
		t.Errorf("%d live gains", live)
	}
}

// TestAlign: a multiplication leads between two units of counting where no shift does, and only there.
func TestAlign(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"131", "131", 0}, {"131", "-262", 0}, {"131", "65.5", 0}, {"131", "100", 1}, {"16384", "16000", 1}} {
		u := compile(t, fmt.Sprintf(`controller: c
rate: 100 Hz
target: portable
inputs:
  a: {raw: int16, unit: m, counts_per_unit: %s}
  b: {raw: int16, unit: m, counts_per_unit: %s}
steps:
  s: {kind: sum, of: {a: 1, b: 1}}
outputs:
  o: {from: s, raw: int32, unit: m, counts_per_unit: %s}
`, c.a, c.b, c.a))
		got := 0
		for _, op := range u.Asked.Ops {
			if op.Change {
				got++
			}
		}
		if got != c.want {
			t.Errorf("counts of %s and %s: %d changes of counting, want %d", c.a, c.b, got, c.want)
		}
	}
}

// form is what a live gain's value must not touch.
type form struct {
	Kind  program.Kind
	Args  []program.ID
	Shift uint
	Type  program.Type
	LSB   string
	Lo    int64
	Hi    int64
}

func forms(p *program.Fixed) (out []form) {
	for _, op := range p.Ops {
		out = append(out, form{op.Kind, op.Args, op.Shift, op.Type, op.LSB.RatString(), op.Lo, op.Hi})
	}
	for i := range p.Coefs {
		c := p.Coefs[i]
		c.Setter.XStart = 0
		out = append(out, form{Type: c.Type, LSB: c.LSB.RatString() + fmt.Sprint(c.Setter)})
	}
	for _, s := range p.States {
		out = append(out, form{Type: s.Type, LSB: s.LSB.RatString(), Lo: s.Lo, Hi: s.Hi})
	}
	return out
}

// TestLiveGainMovesNothing: another value of a live gain inside its tuning range, its ends and 0 included, leaves every
// operation, format and range as it is.
func TestLiveGainMovesNothing(t *testing.T) {
	changed := 0
	for _, name := range []string{"cart.yaml", "heading.yaml", "incubator.yaml"} {
		text := specs(t)[name]
		u := compile(t, text)
		was := forms(u.Integer)
		for _, g := range u.Integer.Gains {
			_, key, _ := strings.Cut(g.Key, ".")
			lo, _ := g.Lo.Float64()
			hi, _ := g.Hi.Float64()
			for _, v := range [][]float64{{lo, lo + (hi-lo)/3}, {hi, hi / 1000}}[changed/2%2] {
				written := regexp.MustCompile(`\b` + key + `: [0-9.]+`)
				other := compile(t, written.ReplaceAllString(text, fmt.Sprintf("%s: %g", key, v)))
				if d := cmp.Diff(was, forms(other.Integer)); d != "" {
					t.Errorf("%s: %s at %v: %s", name, g.Key, v, d)
				}
				changed++
			}
		}
	}
	if changed < 14 {
		t.Errorf("%d changes", changed)
	}
}

const pinned = `controller: c
rate: 100 Hz
target: portable
inputs:
  a: {raw: int16, unit: m, counts_per_unit: %s}
steps:
  smooth: {kind: low_pass, of: a, time_constant: 0.3 s}
  y: {kind: clamp, of: smooth, limits: [-200, 200]}
outputs:
  o: {from: y, raw: int16, unit: m, counts_per_unit: 64}
formats: {y: %s}
`

// TestPinned: a pinned format is taken as it is; one that is too narrow is an error that says by how many bits.
func TestPinned(t *testing.T) {
	for _, c := range []struct {
		counts, format string
		lsb            *big.Rat
		need           string
	}{{"128", "Q8.7", big.NewRat(1, 128), ""}, {"128", "Q8.3", big.NewRat(1, 8), ""}, {"128", "Q8.12", big.NewRat(1, 4096), ""},
		{"131", "Q8.7", big.NewRat(1, 128), ""}, {"-65.5", "Q9.4", big.NewRat(1, 16), ""},
		{"128", "Q5.7", nil, "3 more bits"}, {"128", "Q7.8", nil, "one more bit"}, {"100", "Q0.15", nil, "8 more bits"}} {
		u := model.Compile("spec.yaml", []byte(fmt.Sprintf(pinned, c.counts, c.format)))
		if c.need != "" {
			if len(u.Findings) != 1 || u.Findings[0].Severity != finding.Error || u.Findings[0].Rule != "overflow" || !strings.Contains(u.Findings[0].Message, c.need) || u.OK() {
				t.Errorf("%s: %v, want %s", c.format, u.Findings, c.need)
			}
			continue
		}
		if !u.OK() {
			t.Errorf("%s: %v", c.format, u.Findings)
			continue
		}
		for _, s := range u.Integer.Sections {
			for _, sig := range s.Signals {
				if sig.Name == "y" && u.Integer.Ops[sig.Value].LSB.Cmp(c.lsb) != 0 {
					t.Errorf("%s: y is counted in %v, want %v", c.format, u.Integer.Ops[sig.Value].LSB, c.lsb)
				}
			}
		}
	}
}
