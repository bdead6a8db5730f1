package bound

import (
	"errors"
	"math"
	"math/big"
	"slices"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
)

// leastDrift is what the search for differences to the program that was asked for may cost; where the rounding of the whole cost much, a
// quarter of that besides. What would cost more is not claimed.
const leastDrift Effort = 60e6

// fine is the share of a drift that may be owed to want of taps.
const fine = 0.02

// Asked finds how far the integer program can be from the one that was asked for; nil where no bound was found. d are its differences to the
// stored one, from the raw inputs.
func Asked(asked, stored *program.Real, d *Spread) (cert.Errors, error) {
	out := cert.Errors{Signals: make([][]*interval.Range, len(stored.Sections)), Turns: make([][]*big.Rat, len(stored.Sections)), Taps: make([]int, len(stored.Sections))}
	a, err := newDrifts(asked, stored, d)
	if err != nil {
		return out, err
	}
	most := leastDrift + d.Effort()/4
	states := stored.View().StatesOf()
	for s := range stored.Sections {
		var linear []int // states that may be followed as linear ones
		for _, n := range states[s] {
			if st := stored.States[n]; st.Bool || st.Enable != program.None || st.Reset != program.None || stored.Ops[st.Next].Section > s {
				together(a.States, n)
			} else {
				linear = append(linear, n)
			}
		}
		rest := others(states[s], linear)
		out.Taps[s] = driftIn(a, s, most)
		driftBoxes(a, s, out.Taps[s], rest)
		if missing := unknown(a, d, s, len(stored.Sections[s].Signals)); missing > 0 && len(linear) > 0 { // a state that is held, or limited on its way
			kept, taps := slices.Clone(a.States), out.Taps[s]
			together(a.States, states[s]...)
			out.Taps[s] = driftIn(a, s, most)
			if driftBoxes(a, s, out.Taps[s], states[s]); unknown(a, d, s, len(stored.Sections[s].Signals)) >= missing {
				copy(a.States, kept)
				out.Taps[s] = taps
				a.Section(s, taps)
			}
		}
	}
	// A section was followed several times, before later ones were: what one look at all of them does not bear out is not claimed.
	look, err := newDrifts(asked, stored, d)
	if err != nil {
		return out, err
	}
	out.States = look.States
	copy(out.States, a.States)
	for again := true; again; {
		again = false
		for s, sec := range stored.Sections {
			look.Section(s, out.Taps[s])
			claim(&out, s, len(sec.Signals), look.Signal)
		}
		for n, claimed := range out.States {
			if after := look.After(n); claimed != nil && (after == nil || !claimed.Holds(*after)) {
				out.States[n], again = nil, true
			}
		}
	}
	return out, nil
}

// drifts follows the drift of each section and notes what that needs.
type drifts struct {
	*cert.Asked
	bill
	spans   []program.Span
	work    float64 // nanoseconds that each tap takes in the last section; 0: no drift there needs any
	slowest int     // taps that the slowest filter there needs, by its eigenvalues
	loss    float64 // the largest share of a drift there that is owed to want of taps
}

func newDrifts(asked, stored *program.Real, d *Spread) (*drifts, error) {
	a, err := cert.NewAsked(asked, stored, d.Differences)
	if err != nil {
		return nil, err
	}
	out := &drifts{Asked: a, spans: stored.Spans()}
	a.Apart = out.apart
	return out, nil
}

// Section follows one section. Without taps it tells by how many they might be found.
func (a *drifts) Section(section, taps int) {
	a.work, a.slowest, a.loss = 0, 0, 0
	a.sum += perOp * Effort(max(0, a.spans[section].End-a.spans[section].First))
	a.Asked.Section(section, taps)
}

func (a *drifts) apart(stored, asked response.Filter, taps int) (response.Parting, error) {
	a.work += tick(stored, asked)
	if taps == 0 {
		a.slowest = max(a.slowest, firstTaps(dense(stored)))
		return response.Parting{}, errNoTaps
	}
	found, err := a.bill.apart(stored, asked, taps)
	if err != nil {
		a.loss = math.Inf(1)
	}
	a.loss = max(a.loss, found.Loss)
	return found, err
}

var errNoTaps = errors.New("no taps were asked for yet")

// dense is the matrix of a filter.
func dense(f response.Filter) [][]float64 {
	out := make([][]float64, len(f.A))
	for i, row := range f.A {
		out[i] = make([]float64, len(f.A))
		for _, c := range row {
			out[i][c.At] = c.K
		}
	}
	return out
}

// unknown counts the signals of a section whose rounding is known and whose drift is not.
func unknown(a *drifts, d *Spread, section, signals int) (n int) {
	for j := range signals {
		rounding, _ := d.Signal(section, j)
		if all, _ := a.Signal(section, j); rounding != nil && all == nil {
			n++
		}
	}
	return n
}

// driftIn follows a section and looks for how many taps its responses need; 0: none, or too many.
func driftIn(a *drifts, section int, most Effort) int {
	a.Section(section, 0)
	if a.work == 0 {
		return 0
	}
	taps := a.slowest
	if taps > mostTaps {
		return 0
	}
	best, last := 0, math.Inf(1)
	for taps *= 3; taps <= mostTaps && Effort(float64(taps)*a.work) <= most-a.Effort(); taps *= 2 {
		a.Section(section, taps)
		loss, before := a.loss, last
		if loss < last {
			best, last = taps, loss
		}
		if loss < fine || !math.IsInf(before, 1) && loss > before/2 { // what is left is rounding, which more taps do not mend
			break
		}
	}
	a.Section(section, best)
	return best
}

// driftBoxes finds for each of the states a drift that a tick does not lead out of, and nil where there is none at hand.
func driftBoxes(a *drifts, section, taps int, states []int) {
	for round := 0; ; round++ {
		stable := true
		for _, n := range states {
			old := a.States[n]
			if old == nil {
				continue
			}
			after := a.After(n)
			switch {
			case after == nil || round >= 6:
				a.States[n], stable = nil, false
			case !old.Holds(*after):
				wider := outwards(old.Hull(*after))
				a.States[n], stable = &wider, false
			}
		}
		if stable {
			return
		}
		a.Section(section, taps)
	}
}
