package bound

import (
	"math/big"
	"slices"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// Differences finds how far the integer program can be from the real one, for each state and signal;
// nil where no bound was found. It returns what it followed, too. See cert.Certificate for the meaning of chain.
func Differences(stored *program.Real, integer *program.Fixed, ranges []interval.Range, chain bool) (cert.Errors, *Spread, error) {
	d, err := newSpread(stored, integer, ranges, chain)
	if err != nil {
		return cert.Errors{}, nil, err
	}
	out, err := differences(d, integer.View(), chain)
	return out, d, err
}

// Whole is Differences of the whole programs, fed with the same raw inputs.
func Whole(stored *program.Real, integer *program.Fixed, ranges []interval.Range) (cert.Errors, *Spread, error) {
	return Differences(stored, integer, ranges, true)
}

func differences(d *Spread, integer program.View, chain bool) (cert.Errors, error) {
	states := integer.StatesOf()
	out := cert.Errors{Signals: make([][]*interval.Range, len(integer.Sections)), Turns: make([][]*big.Rat, len(integer.Sections)), Taps: make([]int, len(integer.Sections))}
	rings := integer.Rings()
	for s := range integer.Sections {
		if d.Effort() > mostEffort {
			return out, TooLong{s}
		}
		at := slices.IndexFunc(rings, func(r program.Span) bool { return s < r.End })
		if ring := rings[at]; chain && ring.End > ring.First+1 { // fed with the integer program's signals, no section feeds itself through others
			if s == ring.First {
				out.Taps = differRing(d, ring, out.Taps)
			}
			claim(&out, s, len(integer.Sections[s].Signals), d.Signal)
			continue
		}
		d.Section(s)
		linear := cert.Linear(integer, s)
		if coupled(d.matrix(s)) {
			out.Taps[s] = differMixed(d, integer, s, linear, others(states[s], linear), out.Taps)
		}
		if out.Taps[s] == 0 {
			differBoxes(d, s, states[s])
			lost := slices.ContainsFunc(linear, func(n int) bool { return d.States[n] == nil })
			if lost && len(linear) == len(states[s]) {
				out.Taps[s] = differLinear(d, integer, s, out.Taps)
			}
		}
		claim(&out, s, len(integer.Sections[s].Signals), d.Signal)
	}
	out.States = d.States
	return out, nil
}

// claim notes what was found of a section's signals.
func claim(out *cert.Errors, section, signals int, found func(section, signal int) (*interval.Range, *big.Rat)) {
	out.Signals[section], out.Turns[section] = make([]*interval.Range, signals), make([]*big.Rat, signals)
	for j := range signals {
		if r, turn := found(section, j); r != nil {
			widened := outwards(*r)
			out.Signals[section][j], out.Turns[section][j] = &widened, turn
		}
	}
}

// differBoxes finds for each of the states a difference that a tick does not lead out of; nil where there is none.
func differBoxes(d *Spread, section int, states []int) {
	w := &widening{states: states, tracks: make([]track, len(states))}
	for round := 0; ; round++ {
		d.Section(section)
		stable := true
		for i, n := range states {
			old, after := d.States[n], d.After(n)
			switch {
			case old == nil:
				continue
			case after == nil || round >= rounds:
				d.States[n], stable = nil, false
				continue
			case old.Holds(*after):
				continue
			}
			stable = false
			next := old.Hull(*after)
			if r, ok := d.rest(n); ok && round < guesses {
				next = outwards(next.Hull(r))
				d.States[n] = &next
				startOver(w.tracks, i)
				continue
			}
			if next = w.jump(i, *old, next); next.Size().Cmp(nowhere) < 0 {
				d.States[n] = &next
			} else {
				d.States[n] = nil
			}
		}
		if stable {
			return
		}
	}
}

// differMixed bounds the differences of a section's linear states by peak gains and those of its other states by boxes.
// 0: that failed, and all differences are 0 again, to start anew from.
func differMixed(d *Spread, p program.View, section int, linear, rest []int, taps []int) int {
	for range rounds {
		found := differLinear(d, p, section, taps)
		if found == 0 {
			break
		}
		if len(rest) == 0 {
			return found
		}
		differBoxes(d, section, rest)
		bounds, _, err := d.LinearBounds(section, found)
		if err != nil {
			break
		}
		stands := true
		for i, n := range linear {
			stands = stands && d.States[n].Holds(bounds[i])
		}
		if stands {
			return found
		}
	}
	d.UseLinear(taps)
	together(d.States, linear...)
	together(d.States, rest...)
	d.Section(section)
	return 0
}

// together says of states that both programs have them at the same value.
func together(differences []*interval.Range, states ...int) {
	for _, n := range states {
		zero := interval.Ints(0, 0)
		differences[n] = &zero
	}
}
