package golang

import (
	"fmt"
	"math"
	"math/big"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// vectors writes a test beside the emitted package: 3000 ticks of the two interpreters, which both
// emitted programs must repeat bit for bit, every signal, output, state and coefficient.
func vectors(t *testing.T, dir string, u *model.Unit) {
	t.Helper()
	var data strings.Builder
	rng := rand.New(rand.NewSource(1))
	integer, real, alone := program.NewFixedMachine(u.Integer), program.NewRealMachine(u.Stored), program.NewRealMachine(u.Stored)
	coefs := make([]int64, len(u.Integer.Coefs))
	for i, c := range u.Integer.Coefs {
		coefs[i] = c.Setter.Apply(c.Setter.XStart)
	}
	unit := func(n int64, lsb *big.Rat) float64 { // the float64 nearest to the exact value
		v := new(big.Rat).SetInt64(n)
		f, _ := v.Mul(v, lsb).Float64()
		return f
	}
	put := func(v any) { fmt.Fprint(&data, v, " ") }
	bits := func(f float64) { put(math.Float64bits(f)) }
	for range 3000 {
		raw := make([]int64, len(u.Integer.Inputs))
		in := make([]float64, len(raw))
		for i, info := range u.Integer.Inputs {
			lo, hi := info.Type.Range()
			raw[i] = lo + rng.Int63n(hi-lo+1)
			if rng.Intn(4) == 0 {
				raw[i] /= 64 // near zero, where comparisons and quotients get small
			}
			if lo > 0 || raw[i] < lo {
				raw[i] = lo
			}
			in[i] = unit(raw[i], info.LSB)
			put(raw[i])
		}
		realCoefs := make([]float64, len(coefs))
		for g := range u.Integer.Gains {
			x := rng.Int63n(6000) - 1000
			change := rng.Intn(20) == 0
			if put(change); change {
				for i, c := range u.Integer.Coefs {
					if c.Gain == g {
						coefs[i] = c.Setter.Apply(x)
					}
				}
			}
			put(x)
		}
		for i, c := range u.Integer.Coefs {
			realCoefs[i] = unit(coefs[i], c.LSB)
		}
		integer.Tick(raw, coefs)
		real.Tick(in, realCoefs, nil)
		feed := make([]float64, len(u.Stored.Ops))
		for s, sec := range u.Integer.Sections {
			for j, sig := range sec.Signals {
				feed[u.Stored.Sections[s].Signals[j].Value] = unit(integer.Values[sig.Value], u.Integer.Ops[sig.Value].LSB)
			}
		}
		for i, op := range u.Stored.Ops {
			if op.Kind == program.Input {
				feed[i] = in[op.Index]
			}
		}
		alone.Tick(in, realCoefs, feed)
		for _, o := range u.Integer.Outputs {
			put(integer.Values[o.Value])
		}
		for _, s := range integer.State {
			put(s)
		}
		for _, c := range coefs {
			put(c)
		}
		for s, sec := range u.Integer.Sections {
			for j, sig := range sec.Signals {
				v := u.Stored.Sections[s].Signals[j].Value
				bits(unit(integer.Values[sig.Value], u.Integer.Ops[sig.Value].LSB))
				bits(real.Values[v])
				bits(alone.Values[v])
			}
		}
		data.WriteByte('\n')
	}
	test := strings.Replace(interpretersTest, "package controller", "package "+packageName(u.Integer.Name), 1)
	for name, content := range map[string]string{"vectors.txt": data.String(), "interpreters_test.go": test} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

const interpretersTest = `package controller

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

func TestInterpreters(t *testing.T) {
	f, err := os.Open("vectors.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var s State
	var whole, section Reference
	s.Init()
	whole.Init()
	section.Init()
	lines := bufio.NewScanner(f)
	tick := 0
	for ; lines.Scan(); tick++ {
		line := strings.NewReader(lines.Text())
		get := func(p any) {
			if _, err := fmt.Fscan(line, p); err != nil {
				t.Fatal(err)
			}
		}
		raw := make([]int64, len(inputs))
		for i := range raw {
			get(&raw[i])
		}
		for _, g := range gains {
			var change bool
			var x int32
			get(&change)
			get(&x)
			if change {
				g.set(&s, x)
				g.real(&whole, x)
				g.real(&section, x)
			}
		}
		in := pack(raw)
		var counts Signals
		got := record(&s, s.Watch(in, &counts))
		for i := range got {
			var want int64
			if get(&want); got[i] != want {
				t.Fatalf("tick %d: %s is %d, the interpreter has %d", tick, recordNames[i], got[i], want)
			}
		}
		own := counts.Real()
		integer, chain, alone := flat(own), flat(whole.Step(in)), flat(fed(&section, in, own))
		for i := range integer {
			for k, v := range []float64{integer[i], chain[i], alone[i]} {
				var want uint64
				if get(&want); math.Float64bits(v) != want {
					t.Fatalf("tick %d: signal %s is %v, the interpreter has %v (%d)", tick, signals[i].name, v, math.Float64frombits(want), k)
				}
			}
		}
	}
	if tick != 3000 {
		t.Fatalf("%d ticks", tick)
	}
}
`
