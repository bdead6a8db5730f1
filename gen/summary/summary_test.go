package summary

import (
	"encoding/json"
	"math/big"
	"strings"
	"testing"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/templates"
)

func TestForm(t *testing.T) {
	p := &program.Fixed{Frame: program.Frame{Inputs: []program.InputInfo{{LSB: big.NewRat(1, 131)}, {LSB: big.NewRat(1, 100)}, {LSB: big.NewRat(50, 204959)}}}}
	for _, c := range []struct {
		lsb  string
		t    program.Type
		want string
	}{
		{"1", program.I16, "Q15.0"},
		{"1/128", program.I16, "Q8.7"},
		{"1/65536", program.I32, "Q15.16"},
		{"1/65536", program.I16, "Q-1.16"},
		{"4", program.I16, "Q17.-2"},
		{"1/128", program.U16, "UQ9.7"},
		{"1/131", program.I16, "Q15.0 x 1/131"},
		{"1/4292608", program.I32, "Q16.15 x 1/131"},
		{"1/6553600", program.I32, "Q15.16 x 1/100"},
		{"50/204959", program.I16, "Q15.0 x 1/4099.18"},
		{"25/65536", program.I16, "Q-1.16 x 25"},
		{"1/7", program.I16, "Q15.0 x 1/7"},
		{"3/14", program.I16, "Q14.1 x 3/7"},
	} {
		lsb, _ := new(big.Rat).SetString(c.lsb)
		if got := form(p, lsb, c.t); got != c.want {
			t.Errorf("%s in %d bits is %s, expected %s", c.lsb, c.t.Bits(), got, c.want)
		}
	}
}

func TestHeadroom(t *testing.T) {
	for _, c := range []struct {
		t      program.Type
		lo, hi int64
		want   float64
	}{
		{program.I16, -32768, 32767, 0}, {program.I16, -16384, 16383, 1}, {program.I16, 0, 16383, 1}, {program.I16, 0, 32766, 0},
		{program.I16, -16385, 0, 0.9}, {program.I8, -1, 0, 7}, {program.U8, 0, 127, 1}, {program.I64, -1 << 62, 0, 1}, {program.I32, 5, 5, 28.4},
	} {
		if got := headroom(c.t, c.lo, c.hi); got != c.want {
			t.Errorf("[%d, %d] in %d bits: %v, expected %v", c.lo, c.hi, c.t.Bits(), got, c.want)
		}
	}
}

func TestAboveIsNeverBelow(t *testing.T) {
	for n := int64(1); n < 2000; n++ {
		r := big.NewRat(n, 1999*7)
		if new(big.Rat).SetFloat64(float64(above(r))).Cmp(r) < 0 {
			t.Fatalf("%s became %v", r, above(r))
		}
	}
}

// The sentence of a bound names every step on the way from what is known in all, and every rounding there.
func TestCarriedBounds(t *testing.T) {
	s := Of(model.Compile("heading.yaml", templates.Starter("heading")))
	if s.Verdict == document.Bad {
		t.Fatal(s.Findings)
	}
	for i, b := range bounds(s.unit) {
		got := b.sentence()
		switch b.signal {
		case "left_wheel":
			for _, want := range []string{"the exact steps heading, turn, left and left_wheel would give with the stored constants", "had rate been wrong by at most 0.00382 deg/s", " at heading", " at turn", " and 0.5 duty (0.5 count) at left_wheel"} {
				if !strings.Contains(got, want) {
					t.Errorf("%q is missing in %q", want, got)
				}
			}
			if total, own := cell(s.Bounds, i, "total").Value, cell(s.Bounds, i, "own_counts").Value; total != nil || own != 0.5 {
				t.Errorf("total %v, own in counts %v", total, own)
			}
		case "rate":
			if b.total.r == nil || got != "rate is what the exact steps give with the stored constants, plus at most 0.00382 deg/s" {
				t.Errorf("got %q", got)
			}
		}
	}
}

// Gains are the same whether they are asked for per second or per tick, and a filter whether by blend or time constant.
func TestSettings(t *testing.T) {
	text := string(templates.Starter("cart"))
	want := map[string][2]string{"effort.ki": {"650 duty/deg/s", "3.25 per tick"}, "effort.kd": {"1.5 duty/deg*s", "300 per tick"}, "effort.kp": {"41 duty/deg", "41 per tick"},
		"tilt.time_constant": {"0.3 s", "60 ticks"}, "tilt.blend": {"0.983607", ""}}
	perTick := strings.NewReplacer("kp: 41, ki: 650, kd: 1.5,", "kp: 41, ki: 3.25, kd: 300, per: tick,", "time_constant: 300 ms", "blend: 0.98360655738",
		", effort.ki: [0, 1200], effort.kd: [0, 4]", "").Replace(text)
	if perTick == text {
		t.Fatal("the starter is not as this test knows it")
	}
	for _, src := range []string{text, perTick} {
		s := Of(model.Compile("cart.yaml", []byte(src)))
		if s.Verdict == document.Bad {
			t.Fatal(s.Findings)
		}
		found := 0
		for i := range s.Settings.Rows {
			key, value, tick := cell(s.Settings, i, "name").Text, cell(s.Settings, i, "value").Text, cell(s.Settings, i, "per_tick").Text
			if w, ok := want[key]; ok {
				found++
				if value != w[0] || tick != w[1] {
					t.Errorf("%s is %s, %s, expected %v", key, value, tick, w)
				}
			}
		}
		if found != len(want) {
			t.Errorf("%d of %d settings", found, len(want))
		}
	}
}

// Lists are never null in JSON, and verdicts follow the findings.
func TestJSON(t *testing.T) {
	for _, c := range []struct {
		spec    string
		verdict document.Tone
	}{{"", document.Bad}, {string(templates.Starter("incubator")), document.Good}} {
		s := Of(model.Compile("spec.yaml", []byte(c.spec)))
		text, err := json.Marshal(s.Document())
		if err != nil {
			t.Fatal(err)
		}
		if s.Verdict != c.verdict || strings.Contains(string(text), "null") {
			t.Errorf("verdict %s, %s", s.Verdict, text)
		}
	}
	u := model.Compile("spec.yaml", templates.Starter("incubator"))
	u.Findings.Add(finding.Finding{Severity: finding.Warning})
	if s := Of(u); s.Verdict != document.Caution || !strings.Contains(s.Conclusion().Text, "1 warning ") {
		t.Errorf("verdict %s: %s", s.Verdict, s.Conclusion().Text)
	}
}
