package target

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"text/tabwriter"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// searchTicks are added to each of the runs on avr8, to find a worse tick.
const searchTicks = 1000

// version is one way to write a controller.
type version struct {
	name, file string
	define     string
	parts      []string // nil: all
}

var benchmarks = []struct {
	name, spec string
	limits     map[string]float64 // worst tick in terms of soft float's, at most, by part
	flash      map[string]float64 // and bytes of flash, setters included; made for size it is half at most everywhere
	versions   []version
}{
	{"loop A", "../../testdata/specs/loop_a.yaml", map[string]float64{"avr8": 0.13, "cortex-m0": 0.05, "cortex-m4": 0.07, "rv32imc": 0.05}, map[string]float64{"avr8": 0.5, "cortex-m0": 0.5, "cortex-m4": 0.5, "rv32imc": 0.5}, []version{
		{name: "soft float", file: "loop_a_float.h"},
		{name: "soft float, tuned by hand", file: "loop_a_float.h", define: "TUNED"},
		{name: "_Accum", file: "loop_a_accum.h", parts: []string{"avr8"}},
		{name: "_Accum, tuned by hand", file: "loop_a_accum.h", define: "TUNED", parts: []string{"avr8"}},
		{name: "by hand", file: "loop_a_hand.h"},
		{name: "by hand, inline multiply", file: "loop_a_hand.h", define: "INLINE_MULTIPLY", parts: []string{"avr8"}}}},
	{"loop B", "../../testdata/specs/loop_b.yaml", map[string]float64{"avr8": 0.11, "cortex-m0": 0.05, "cortex-m4": 0.05, "rv32imc": 0.05}, map[string]float64{"avr8": 0.5, "cortex-m0": 0.5, "cortex-m4": 0.5, "rv32imc": 0.5}, []version{
		{name: "soft float", file: "loop_b_float.h"},
		{name: "soft float, tuned by hand", file: "loop_b_float.h", define: "TUNED"},
		{name: "by hand", file: "loop_b_hand.h"},
		{name: "by hand, inline multiply", file: "loop_b_hand.h", define: "INLINE_MULTIPLY", parts: []string{"avr8"}}}},
	{"cart", "../../testdata/specs/cart.yaml", map[string]float64{"avr8": 0.16, "cortex-m0": 0.05, "cortex-m4": 0.05, "rv32imc": 0.05}, map[string]float64{"avr8": 0.66, "cortex-m0": 0.5, "cortex-m4": 0.5, "rv32imc": 0.5}, []version{
		{name: "soft float", file: "cart_float.h"},
		{name: "soft float, tuned by hand", file: "cart_float.h", define: "TUNED"},
		{name: "by hand", file: "cart_hand.h"},
		{name: "by hand, inline multiply", file: "cart_hand.h", define: "INLINE_MULTIPLY", parts: []string{"avr8"}}}},
}

// TestBenchmarks measures each controller as emitted and as others would write it, on each part, over the
// same records.
func TestBenchmarks(t *testing.T) {
	tier.Slow(t)
	const ticks = 20_000 // the floating-point ones take 5,000 cycles each
	var table strings.Builder
	w := tabwriter.NewWriter(&table, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(w, "part\tloop\tversion\tworst\tproven\tmean\tof float\tflash\tsetters\tRAM\tstate\tstack\toff by\t\n")
	for _, part := range Parts() {
		for _, b := range benchmarks {
			u := compiled(t, b.spec)
			var base float64
			var runs [][]int64
			others := map[string]Measured{}
			row := func(name string, m Measured, off float64) {
				worst := max(m.Worst, m.Found)
				if base == 0 {
					base = float64(worst)
				}
				fmt.Fprintf(w, "%s\t%s\t%s\t%d\t%d\t%.0f\t%.3f\t%d\t%d\t%d\t%d\t%d\t%.3f\t\n", part, b.name, name,
					worst, m.Proven, m.Mean, float64(worst)/base, m.Flash, m.Setters, m.RAM, m.State, m.Stack, off)
			}
			own := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, part, u) })
			own.Search = searchTicks
			r := &recorder{to: own}
			if _, err := trial.Verify(t.Context(), u, trial.Options{Ticks: ticks, Target: r, Unbroken: true}); err != nil {
				t.Fatal(err)
			}
			runs = r.runs
			for _, v := range b.versions {
				if v.parts != nil && v.parts[0] != part {
					continue
				}
				s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return build(ctx, part, other(t, u, v)) })
				s.Search = searchTicks
				off := 0.0
				for _, in := range runs {
					off += apart(u, in, drive(t, s, in))
				}
				row(v.name, s.Measured(), off/ticks)
				if off/ticks > 0.3 {
					t.Errorf("%s, %s on %s is not the same controller: %.3f counts off in the mean", b.name, v.name, part, off/ticks)
				}
				others[v.name] = s.Measured()
			}
			off, width := 0.0, trial.NewLayout(u.Integer).Out
			for i, in := range runs {
				var out []int64
				for n := 0; n < len(r.results[i]); n += width {
					out = append(out, r.results[i][n])
				}
				off += apart(u, in, out)
			}
			m := own.Measured()
			row("emitted", m, off/ticks)
			small := emitted(u)
			small.header = c.HeaderFor(u, selection.Size)
			s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return build(ctx, part, small) })
			s.Search = searchTicks
			off = 0
			for i, in := range runs {
				var out []int64
				all := everything(t, s, in)
				for n := 0; n < len(all); n += width {
					out = append(out, all[n])
				}
				if !slices.Equal(all, r.results[i]) {
					t.Errorf("%s on %s made for size gives other bits", b.name, part)
				}
				off += apart(u, in, out)
			}
			row("emitted, prefer: size", s.Measured(), off/ticks)
			worst := func(m Measured) float64 { return float64(max(m.Worst, m.Found)) }
			if small, float := s.Measured(), others["soft float"]; 2*small.Flash > float.Flash || worst(small) > b.limits[part]*worst(float) {
				t.Errorf("%s on %s made for size takes %d bytes of flash and %.0f, soft float %d and %.0f: at most half and %.3f is expected",
					b.name, part, small.Flash, worst(small), float.Flash, worst(float), b.limits[part])
			}
			if ratio := worst(m) / worst(others["soft float"]); ratio > b.limits[part] {
				t.Errorf("%s on %s takes %.3f of soft float, at most %.3f is expected", b.name, part, ratio, b.limits[part])
			}
			for name, o := range others {
				if strings.HasPrefix(name, "by hand") && worst(m) > worst(o) {
					t.Errorf("%s on %s takes %.0f, written %s %.0f", b.name, part, worst(m), name, worst(o))
				}
				if small := s.Measured(); strings.HasPrefix(name, "by hand") && worst(small) > worst(o) {
					t.Errorf("%s on %s made for size takes %.0f, written %s %.0f", b.name, part, worst(small), name, worst(o))
				}
				if ratio := worst(m) / worst(o); name == "_Accum" && ratio > 0.18 {
					t.Errorf("%s on %s takes %.3f of _Accum, at most 0.18 is expected", b.name, part, ratio)
				}
				if most := b.flash[part]; name == "soft float" && most > 0 && float64(m.Flash) > most*float64(o.Flash) {
					t.Errorf("%s on %s takes %d bytes of flash, soft float %d: at most %.2f is expected", b.name, part, m.Flash, o.Flash, most)
				}
				if fixed := o.Flash - o.Setters; name == "soft float" && part != "avr8" && 2*(m.Flash-m.Setters) > fixed {
					t.Errorf("%s on %s takes %d bytes of flash without setters, soft float %d", b.name, part, m.Flash-m.Setters, fixed)
				}
			}
		}
	}
	w.Flush()
	t.Logf("worst and mean tick (cycles on avr8, instructions elsewhere), bytes, mean distance to the real program in counts of the output\n%s", table.String())
	if file := os.Getenv("GAINWRIGHT_BENCH_TABLE"); file != "" {
		if err := os.WriteFile(file, []byte(table.String()), 0o644); err != nil {
			t.Error(err)
		}
	}
}

var include = regexp.MustCompile(`(?m)^#include "(.*)"$`)

// bench reads a file of testdata/bench with its includes.
func bench(t testing.TB, file string) []byte {
	text, err := os.ReadFile(filepath.Join("../../testdata/bench", file))
	if err != nil {
		t.Fatal(err)
	}
	return include.ReplaceAllFunc(text, func(line []byte) []byte { return bench(t, string(include.FindSubmatch(line)[1])) })
}

// other is a version of u: the same inputs, gains and outputs, no state to compare.
func other(t testing.TB, u *model.Unit, v version) controller {
	p := u.Integer
	k := controller{name: u.Spec.Name}
	text := &strings.Builder{}
	if v.define != "" {
		fmt.Fprintf(text, "#define %s\n", v.define)
	}
	in, out, _, _ := c.Members(p)
	k.take(in)
	for g, gain := range p.Gains {
		k.settable(gain.Name)
		s := setter(p, g)
		fmt.Fprintf(text, "#define %[1]s_PER %.0[2]fL\n#define %[1]s_MOST %[3]dL\n", strings.ToUpper(gain.Name), math.Pow10(s.Digits), s.XHi)
	}
	k.startsOver(false, false)
	k.give("Out.", out)
	k.header = append([]byte(text.String()), bench(t, v.file)...)
	return k
}

func setter(p *program.Fixed, gain int) program.Setter {
	for _, k := range p.Coefs {
		if k.Gain == gain {
			return k.Setter
		}
	}
	panic("a gain without a coefficient")
}

// drive runs records and returns the first output of each tick.
func drive(t testing.TB, s *Simulated, records []int64) []int64 {
	var first []int64
	all := everything(t, s, records)
	for i := 0; i < len(all); i += len(s.controller.out) {
		first = append(first, all[i])
	}
	return first
}

// everything runs records and returns all that comes back.
func everything(t testing.TB, s *Simulated, records []int64) []int64 {
	in, out := make(chan []int64, 1), make(chan []int64, 16)
	in <- records
	close(in)
	failed := make(chan error, 1)
	go func() {
		_, err := s.Run(t.Context(), in, out)
		close(out)
		failed <- err
	}()
	var all []int64
	for values := range out {
		all = append(all, values...)
	}
	if err := <-failed; err != nil {
		t.Fatal(err)
	}
	return all
}

// apart sums the distances of the first output to the real program with the constants as asked.
func apart(u *model.Unit, records, got []int64) (sum float64) {
	p := u.Asked
	m := program.NewRealMachine(p)
	in, coefs := make([]float64, len(p.Inputs)), make([]float64, len(p.Coefs))
	set := func(g int, x int64) {
		s := setter(u.Integer, g)
		value := float64(min(max(x, s.XLo), s.XHi)) / math.Pow10(s.Digits)
		for i, k := range p.Coefs {
			if k.Gain == g {
				factor, _ := k.Factor.Float64()
				coefs[i] = value * factor
			}
		}
	}
	for g := range p.Gains {
		set(g, setter(u.Integer, g).XStart)
	}
	width := trial.NewLayout(u.Integer).In
	for n := range got {
		r := records[n*width:]
		for i, input := range p.Inputs {
			lsb, _ := input.LSB.Float64()
			in[i] = float64(r[i]) * lsb
			if input.IsSwitch {
				in[i] = float64(r[i])
			}
		}
		for g := range p.Gains {
			if r[len(p.Inputs)+2*g] != 0 {
				set(g, r[len(p.Inputs)+2*g+1])
			}
		}
		m.Tick(in, coefs, nil)
		lsb, _ := p.Outputs[0].LSB.Float64()
		sum += math.Abs(m.Values[p.Outputs[0].Value]/lsb - float64(got[n]))
	}
	return sum
}

// recorder keeps what goes to a target and what comes back.
type recorder struct {
	to            trial.Target
	runs, results [][]int64
}

func (r *recorder) Name() string { return r.to.Name() }

func (r *recorder) Run(ctx context.Context, in <-chan []int64, out chan<- []int64) (trial.Cost, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	through, back := make(chan []int64), make(chan []int64)
	sent, received := make(chan []int64, 1), make(chan []int64, 1)
	go func() {
		var all []int64
		for records := range in {
			all = append(all, records...)
			select {
			case through <- records:
			case <-ctx.Done():
			}
		}
		close(through)
		sent <- all
	}()
	go func() {
		var all []int64
		for values := range back {
			all = append(all, values...)
			out <- values
		}
		received <- all
	}()
	cost, err := r.to.Run(ctx, through, back)
	close(back)
	cancel()
	r.results = append(r.results, <-received)
	r.runs = append(r.runs, <-sent)
	return cost, err
}
