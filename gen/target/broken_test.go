package target

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model/program"
	"gainwright/model/trial"
)

// TestBrokenCIsFound spoils the emitted C in one place at a time. Each must be found, and reported with all
// values of its tick.
func TestBrokenCIsFound(t *testing.T) {
	u := controllerNamed(t, "cart_log")
	text := string(c.Header(u))
	for name, header := range map[string]string{
		"a factor":            constantPlusOne(t, text, "CART_LOG_TILT_LEAD_FACTOR"),
		"a limit":             constantPlusOne(t, text, "CART_LOG_LEAN_LIMITED_HIGH"),
		"a rounding":          replaced(t, text, `((int32_t)1 << (n - 1))`, `((int32_t)1 << (n - 1)) - 1`),
		"a clamp":             replaced(t, text, "raised > hi ? hi : raised", "raised >= hi ? hi - 1 : raised"),
		"a start":             replaced(t, text, "s->first_tick = 1;", "s->first_tick = 0;"),
		"a setter's shift":    constantPlusOne(t, text, "CART_LOG_EFFORT_KP_MERGE_SHIFT"),
		"a state not written": replaced(t, text, "    s->balance_held = ", "    s->balance_held = 0; (void)"),
	} {
		t.Run(name, func(t *testing.T) {
			h, err := newHost(t.Context(), "cart_log", []byte(header), c.Stream(u), Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer h.Close()
			r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 200_000, Target: h})
			if err != nil {
				t.Fatal(err)
			}
			var first *trial.Fault
			bits := 0
			for _, k := range r.Kinds {
				bits += k.Same.Bits
				for _, f := range k.Faults {
					if f.Rule != "bits" {
						t.Errorf("found too: %s", f)
					} else if first == nil {
						first = f
					}
				}
			}
			if r.OK() || first == nil || bits == 0 {
				t.Fatalf("%d bits differ, the first at %v", bits, first)
			}
			if len(first.Values) != len(u.Integer.Ops) || !strings.Contains(first.Message, "in the integer program, C by ") {
				t.Errorf("the report is %s", first)
			}
		})
	}
}

func replaced(t *testing.T, text, old, new string) string {
	t.Helper()
	if !strings.Contains(text, old) {
		t.Fatalf("there is no %q in the header", old)
	}
	return strings.ReplaceAll(text, old, new)
}

// constantPlusOne changes a constant, and the checksum that guards it, as somebody would who wants to be found late.
func constantPlusOne(t *testing.T, text, macro string) string {
	t.Helper()
	define := regexp.MustCompile(`(#define ` + macro + ` +(?:INT\d+_C\()?)(\d+)`)
	place := define.FindStringSubmatchIndex(text)
	if place == nil {
		t.Fatalf("there is no constant %s", macro)
	}
	n, err := strconv.ParseInt(text[place[4]:place[5]], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	text = text[:place[4]] + fmt.Sprint(n+1) + text[place[5]:]
	weight := regexp.MustCompile(`(\d+)u \* \(uint64_t\)` + macro + `\b`).FindStringSubmatchIndex(text)
	w, err := strconv.ParseUint(text[weight[2]:weight[3]], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	sum := regexp.MustCompile(`== UINT64_C\(0x([0-9a-f]+)\)`).FindStringSubmatchIndex(text[weight[1]:])
	from, to := weight[1]+sum[2], weight[1]+sum[3]
	old, err := strconv.ParseUint(text[from:to], 16, 64)
	if err != nil {
		t.Fatal(err)
	}
	return text[:from] + fmt.Sprintf("%x", old+w) + text[to:]
}

// TestTickOfABrokenConstant: with the lead of the rate wrong by one, the first tick with a rate differs by just
// that rate.
func TestTickOfABrokenConstant(t *testing.T) {
	u := controllerNamed(t, "cart_log")
	h, err := newHost(t.Context(), "cart_log", []byte(constantPlusOne(t, string(c.Header(u)), "CART_LOG_TILT_LEAD_FACTOR")), c.Stream(u), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer h.Close()
	const path = "../../testdata/logs/hero7.csv"
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	log, found := trial.ReadLog(path, file, u.Integer, []string{"armed=1"})
	if log == nil {
		t.Fatal(found)
	}
	r, err := trial.VerifyLog(t.Context(), u, log, trial.Options{Target: h})
	if err != nil || r.OK() || len(r.Kinds[0].Faults) != 1 {
		t.Fatalf("%+v, %v", r, err)
	}
	// the log starts in motion: the rate of its first row is not 0, so the lead, and the state, differ at once
	f := r.Kinds[0].Faults[0]
	if f.Tick != 0 || f.Inputs[2].Count != 2897 || !strings.Contains(f.Message, "state tilt_state") {
		t.Errorf("%s", f)
	}
	var rate, state int64
	for _, v := range f.Values {
		if v.Name == "rate_rounded" {
			rate = v.Count
		}
	}
	for _, s := range f.After {
		if s.Name == "tilt_state" {
			state = s.Count
		}
	}
	if want := fmt.Sprintf("state tilt_state is %d in the integer program, %s gives %d", state, h.Name(), state+rate); f.Message != want {
		t.Errorf("%s, expected is %s", f.Message, want)
	}
}

// BenchmarkParties is one tick of the integer machine alone and of the emitted C, streaming included.
func BenchmarkParties(b *testing.B) {
	for _, name := range []string{"cart_log", "heading", "incubator"} {
		u := controllerNamed(b, name)
		b.Run(name, func(b *testing.B) {
			h := host(b, u, Options{})
			const ticks = 1 << 18
			layout := trial.NewLayout(u.Integer)
			records := make([]int64, ticks*layout.In)
			for i := range records {
				if at := i % layout.In; at < len(u.Integer.Inputs) {
					records[i] = int64(i*7919%200) - 100
					if u.Integer.Inputs[at].IsSwitch {
						records[i] &= 1
					}
				}
			}
			var coefs []int64
			for _, k := range u.Integer.Coefs {
				coefs = append(coefs, k.Setter.Apply(k.Setter.XStart))
			}
			m := program.NewInteger(u.Integer)
			var inC float64
			n := 0
			for b.Loop() {
				for t := range ticks {
					m.Tick(records[t*layout.In:], coefs)
				}
				b.StopTimer()
				cost, err := runOnce(b, h, records)
				if err != nil {
					b.Fatal(err)
				}
				inC += cost.CPU.Seconds()
				n++
				b.StartTimer()
			}
			model := float64(n) * ticks / b.Elapsed().Seconds()
			compiled := float64(n) * ticks / inC
			b.ReportMetric(model, "model-ticks/s")
			b.ReportMetric(compiled, "C-ticks/s")
			b.ReportMetric(compiled/model, "C/model")
		})
	}
}

func runOnce(b *testing.B, h *Host, records []int64) (trial.Cost, error) {
	in, out := make(chan []int64, 1), make(chan []int64, 4)
	in <- records
	close(in)
	go func() {
		for range out {
		}
	}()
	defer close(out)
	return h.Run(b.Context(), in, out)
}
