package trial

import (
	"gainwright/model/tier"
	"math/big"
	"strings"
	"testing"
)

// TestAllowance holds float64 against 300 bits, fed and whole, over all kinds of inputs: no signal may be
// further off than its allowance, and the allowance may not matter beside the bound.
func TestAllowance(t *testing.T) {
	tier.Slow(t)
	for _, u := range units(t) {
		t.Run(u.Spec.Name, func(t *testing.T) {
			const ticks = 1200
			m := newTrial(u, Options{}, ticks)
			fed, whole, asked := newAllowances(u, u.Stored, false, ticks), newAllowances(u, u.Stored, true, ticks), newAllowances(u, u.Asked, true, ticks)
			inexact := 0
			for _, kind := range kinds {
				if kind.again > 0 {
					kind.again = 100 // the run is short
				}
				m.restart()
				exactFed, exactWhole, exactAsked := newPrecise(u.Stored), newPrecise(u.Stored), newPrecise(u.Asked)
				g := newGenerator(u, kind, 7, 1, ticks)
				b := newBatch(m)
				for tick := range ticks {
					b.begin(m, 0, tick, 1)
					g.next(b.record(0))
					k := &Kind{Signals: make([]Signal, len(m.signals))}
					m.runInteger(k, b)
					m.runReal(k, b)
					in, coefs, feed := exactly(m, b)
					for _, p := range []*precise{exactFed, exactWhole, exactAsked} {
						switch b.record(0)[len(b.record(0))-1] {
						case StartOver:
							p.restart(nil)
						case KeepIntegrals:
							p.restart(m.realIntegrals)
						}
					}
					exactFed.tick(in, coefs, feed)
					exactWhole.tick(in, coefs, nil)
					exactAsked.tick(in, coefs, nil) // no live gain lies on the way to what is claimed
					for i, s := range m.signals {
						bound := u.Bounds[i]
						most, around := fed.of(bound.Section, bound.Signal)
						off := beyond(m.fed.Values[s.real], exactFed.values[s.real], around)
						if off > most {
							t.Fatalf("%s inputs, tick %d: %s fed is %g off, %g is allowed", kind.name, tick, s.name, off, most)
						} else if off > 0 {
							inexact++
						}
						most, around = whole.of(bound.Section, bound.Signal)
						off = beyond(m.whole.Values[s.real], exactWhole.values[s.real], around)
						if off > most {
							t.Fatalf("%s inputs, tick %d: %s whole is %g off, %g is allowed", kind.name, tick, s.name, off, most)
						}
						most, around = asked.of(bound.Section, bound.Signal)
						off = beyond(m.asked.Values[s.real], exactAsked.values[s.real], around)
						if s.asked.claimed && off > most {
							t.Fatalf("%s inputs, tick %d: %s as asked is %g off, %g is allowed", kind.name, tick, s.name, off, most)
						}
					}
				}
			}
			if inexact == 0 {
				t.Error("float64 was never off: this test tests nothing")
			}
			for _, s := range newSignals(u, 500_000) {
				for _, c := range []claim{s.local, s.chain, s.asked} {
					if c.unjudged != "" {
						t.Errorf("%s is not judged: %s", s.name, c.unjudged)
					}
					if c.claimed && c.bound > 0 && c.allowance > 1e-3*c.bound {
						t.Errorf("%s: float64 is allowed %g beside a bound of %g", s.name, c.allowance, c.bound)
					}
				}
			}
		})
	}
}

// exactly turns the inputs, coefficients and signals of the tick in b into units without rounding.
func exactly(m *trial, b *batch) (in, coefs, feed []*big.Float) {
	p := m.u.Integer
	units := func(count int64, lsb *big.Rat) *big.Float {
		return number().SetRat(new(big.Rat).Mul(new(big.Rat).SetInt64(count), lsb))
	}
	for i, info := range p.Inputs {
		in = append(in, units(b.record(0)[i], info.LSB))
	}
	for i, c := range p.Coefs {
		coefs = append(coefs, units(m.coefs[i], c.LSB))
	}
	feed = make([]*big.Float, len(m.u.Stored.Ops))
	for i, s := range m.signals {
		feed[s.real] = units(b.signals[i], p.Ops[s.integer].LSB)
	}
	return in, coefs, feed
}

// TestUndecided: where a rounded value is compared with a limit that it may equal, float64 may decide otherwise
// than exact numbers do. The signal is then not judged, and this is said; the others are.
func TestUndecided(t *testing.T) {
	u := compileFile("../../testdata/specs/line.yaml", strings.NewReplacer("hh: {from: h, raw: int8, unit: mm, limits: [-100, 100]", "hh: {from: h, raw: int8, unit: mm, limits: [-100, 100], least_effort: 11"))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	r := verify(t, u, Options{Ticks: 3000})
	for _, s := range r.Kinds[0].Signals {
		if (s.Local.Unjudged != "") != (s.Name == "hh") {
			t.Errorf("%s: %+v", s.Name, s.Local)
		}
	}
	if !r.OK() {
		t.Error("what is not judged counts as wrong")
	}
}

// TestAllowanceGrowsWithTicks: an integral's float64 error adds up, a filter's does not.
func TestAllowanceGrowsWithTicks(t *testing.T) {
	for _, u := range units(t) {
		if u.Spec.Name != "heading" {
			continue
		}
		for _, s := range newSignals(u, 1) {
			for _, later := range newSignals(u, 100_000) {
				if s.name != later.name {
					continue
				}
				if grown := later.local.allowance > 100*s.local.allowance; grown != (s.name == "heading" || s.name == "turn" || s.name == "rate") {
					t.Errorf("%s: the allowance goes from %g to %g", s.name, s.local.allowance, later.local.allowance)
				}
			}
		}
	}
}

// TestAllowanceFarAhead: following ticks one by one and by squares agree where both can be done.
func TestAllowanceFarAhead(t *testing.T) {
	flaws := []flaw{{fresh: 1, slopes: []slope{{1, 1}, {0, 0}}}, {fresh: 2, slopes: []slope{{0, 0.5}, {-1, 1}}}}
	for _, ticks := range []int{0, 1, 2, 3, 100, 1001} {
		now := []float64{3, 4}
		for range ticks {
			now = []float64{total(flaws[0], now), total(flaws[1], now)}
		}
		got := carryFar(flaws, []float64{3, 4}, ticks)
		if got[0] != now[0] || got[1] != now[1] {
			t.Errorf("%d ticks: %v, %v is expected", ticks, got, now)
		}
	}
}
