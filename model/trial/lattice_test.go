package trial

import (
	"fmt"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// checked is a controller whose reading is checked in each way that there is. A tick of fastest is 200 counts.
const checked = `controller: kiln
about: A drying kiln.
rate: 10 Hz
target: avr8

inputs:
  air: {raw: int16, unit: degC, counts_per_unit: %s, offset: %s degC, range: [-400, 400]}

steps:
  sound: {kind: plausible, of: air, range: [-300.3, 300.3], %sfastest: %s degC/s, frozen_after: 2 s}
  plain: {kind: plausible, of: air, range: [-300.3, 300.3], frozen_after: 2 s}
  heat: {kind: pid, target: 37, measured: air, enable: sound, kp: 0.3, ki: 0.02, limits: [0, 100]}
  fan: {kind: pid, target: 20, measured: air, enable: plain, kp: 0.3, limits: [-50, 50]}

outputs:
  heater: {from: heat, raw: int16, unit: degC, counts_per_unit: 10, limits: [0, 100]}
  blower: {from: fan, raw: int16, unit: degC, counts_per_unit: 10, limits: [-50, 50]}
`

// TestCheckedReading: behind a check of a reading all is judged, whether float64 holds a count exactly or not, with an offset and turned round; and
// the check decides at the very count where it must, upwards and downwards.
func TestCheckedReading(t *testing.T) {
	for _, c := range []struct{ counts, offset, back, fastest string }{
		{"32", "0", "", "62.5"}, {"30", "0", "", "66.7"}, {"-30", "0", "back_after: 0.3 s, ", "66.7"},
		{"30", "21.37", "back_after: 0.3 s, ", "66.7"}, {"32", "-21.37", "", "62.5"}, {"-30", "0.4567", "", "66.7"},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			u := model.Compile("kiln.yaml", fmt.Appendf(nil, checked, c.counts, c.offset, c.back, c.fastest))
			if !u.OK() {
				t.Fatal(u.Findings)
			}
			r := verify(t, u, Options{Ticks: 30_000})
			for _, s := range r.Kinds[0].Signals {
				for _, d := range []Difference{s.Local, s.Chain, s.Asked} {
					if d.Unjudged != "" {
						t.Errorf("%s is not judged: %s", s.Name, d.Unjudged)
					}
				}
			}
			if !r.OK() {
				t.Error("what is claimed is not kept")
			}
			for _, from := range []int64{-1000, 0, 517} {
				for _, change := range []int64{-201, -200, 200, 201} {
					m, real := program.NewFixedMachine(u.Integer), program.NewRealMachine(u.Asked)
					lsb, _ := u.Integer.Inputs[0].LSB.Float64()
					for _, raw := range []int64{from, from + 1, from, from + 1, from, from + change} {
						m.Tick([]int64{raw}, nil)
						real.Tick([]float64{float64(raw) * lsb}, nil, nil)
					}
					on := func(p *program.Frame) program.ID {
						for _, s := range p.Sections {
							if s.Name == "sound" {
								return s.Signals[0].Value
							}
						}
						t.Fatal("no check")
						return program.None
					}
					whole, exact := m.Values[on(&u.Integer.Frame)] == 0, real.Values[on(&u.Asked.Frame)] == 0
					if want := max(change, -change) > 200; whole != want || exact != want {
						t.Errorf("a change of %d counts from %d trips: %v, as asked %v, want %v", change, from, whole, exact, want)
					}
				}
			}
		})
	}
}

// TestLattice: how close values on two lattices come.
func TestLattice(t *testing.T) {
	r := big.NewRat
	for _, c := range []struct{ origin, step, at, by, want *big.Rat }{
		{r(0, 1), r(1, 3), r(1, 6), r(0, 1), r(1, 6)},
		{r(0, 1), r(1, 3), r(-401, 6), r(0, 1), r(1, 6)},
		{r(0, 1), r(1, 3), r(401, 3), r(0, 1), r(0, 1)},
		{r(1, 7), r(1, 3), r(0, 1), r(1, 2), r(1, 42)},
		{r(5, 1), r(0, 1), r(3, 1), r(0, 1), r(2, 1)},
	} {
		l, m := &lattice{c.origin, c.step}, &lattice{c.at, c.by}
		if got, back := l.apart(m), m.apart(l); got.Cmp(c.want) != 0 || back.Cmp(c.want) != 0 {
			t.Errorf("%v + n*%v and %v + n*%v are %v and %v apart, want %v", c.origin, c.step, c.at, c.by, got, back, c.want)
		}
	}
	if l := (&lattice{r(1, 7), r(1, 3)}).plus(&lattice{r(1, 2), r(1, 2)}).times(r(-6, 1)); l.origin.Cmp(r(-27, 7)) != 0 || l.step.Cmp(r(1, 1)) != 0 {
		t.Errorf("%v + n*%v", l.origin, l.step)
	}
}
