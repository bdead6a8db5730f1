package summary

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/loop"
	"gainwright/model/program"
	"gainwright/model/simulate"
)

// Turning says which way to turn each live gain: what the loop does with it at half, once and twice, and what becomes of stability over the
// whole tuning box.
type Turning struct {
	Gains   []TurnedGain `json:"gains"`
	Box     *loop.Box    `json:"tuning_box"`
	NoBox   string       `json:"no_tuning_box,omitempty"` // why
	Plane   *loop.Plane  `json:"plane"`
	NoPlane string       `json:"no_plane,omitempty"` // why
	Live    []NamedGain  `json:"live_gains"`         // the order of values in the box
	// Traces of the scenario by gain: half where a trace has the reference, twice where it has the integers.
	Traces []*simulate.Trace `json:"-"`
	Once   *simulate.Trace   `json:"-"`
}

// NamedGain is a live gain by its key.
type NamedGain struct {
	Key  string `json:"key"`
	Unit string `json:"unit,omitempty"`
}

// TurnedGain is one live gain at three values.
type TurnedGain struct {
	NamedGain
	At [3]TurnedAt `json:"at"` // half, once, twice
}

// TurnedAt is what the loop does at one value of a gain, in real numbers, in the scenario of the spec.
type TurnedAt struct {
	Value  float64            `json:"value"`
	Inside bool               `json:"inside_tuning_range"`
	Stable bool               `json:"stable"` // as a linear system
	Peak   simulate.Reached   `json:"sensitivity_peak"`
	Fell   bool               `json:"fell"`
	Watch  []simulate.Watched `json:"watch"`
	Effort []simulate.Effort  `json:"effort"`
}

// turns are what each gain is multiplied by.
var turns = [3]*big.Rat{big.NewRat(1, 2), big.NewRat(1, 1), big.NewRat(2, 1)}

// turnedRows is the most rows of a trace that pictures of turned gains are drawn from.
const turnedRows = 200_000

// Turned runs the scenario of a unit with each live gain turned, and looks at its tuning box. over names two live gains for the plane; where it
// is empty, the first two are taken. It fails where the loop has no linear view, no live gain, or none of the names of over.
func Turned(u *model.Unit, over []string) (*Turning, error) {
	tuning, err := Loop(u).Tuning()
	if err != nil {
		return nil, err
	}
	if len(u.Asked.Gains) == 0 {
		return nil, fmt.Errorf("no gain can be tuned while the loop runs: the section tuning names none")
	}
	t := &Turning{Gains: []TurnedGain{}, Once: &simulate.Trace{Most: turnedRows}}
	if len(over) == 2 {
		if t.Plane, err = tuning.Plane(over[0], over[1]); err != nil {
			return nil, err
		}
	} else if gains := u.Asked.Gains; len(gains) < 2 {
		t.NoPlane = "only one gain can be tuned"
	} else if t.Plane, err = tuning.Plane(gains[0].Key, gains[1].Key); err != nil {
		t.NoPlane = err.Error()
	}
	if t.Box, err = tuning.Box(); err != nil {
		t.NoBox = err.Error()
	}
	s := Simulation(u)
	s.Stable = nil
	once := s.Run(u.Scenario.Seed, t.Once)
	for i, g := range u.Asked.Gains {
		live := NamedGain{g.Key, g.Unit}
		t.Live = append(t.Live, live)
		if g.Value.Sign() == 0 {
			continue // half of nothing is nothing
		}
		trace := &simulate.Trace{Most: turnedRows}
		var values [3]*big.Rat
		for k, by := range turns {
			values[k] = new(big.Rat).Mul(g.Value, by)
		}
		other := s.Turned(i, [2]*big.Rat{values[0], values[2]}, u.Scenario.Seed, trace)
		row := TurnedGain{NamedGain: live}
		for k, l := range []*simulate.Loop{&other.Loops[0], &once.Loops[simulate.Reference], &other.Loops[1]} {
			row.At[k] = turnedAt(tuning, i, &g, values[k], l)
		}
		t.Gains, t.Traces = append(t.Gains, row), append(t.Traces, trace)
	}
	return t, nil
}

func turnedAt(tuning *loop.Tuning, gain int, g *program.Gain, value *big.Rat, l *simulate.Loop) TurnedAt {
	gains := tuning.Now()
	gains[gain], _ = value.Float64()
	at := TurnedAt{Value: number(value), Inside: value.Cmp(g.Lo) >= 0 && value.Cmp(g.Hi) <= 0, Stable: tuning.At(gains).Stable, Peak: simulate.None,
		Fell: l.Fell || l.RanAway, Watch: l.Watch, Effort: l.Effort}
	if peak, err := tuning.Peak(g.Key, gains); err == nil && !math.IsInf(peak, 0) {
		at.Peak = simulate.Reached(peak)
	}
	return at
}

// Cells are the figures of one watched quantity at one value of a gain, in words: value, sensitivity peak, settling, overshoot, swing and the rms of
// the effort.
func (at *TurnedAt) Cells(watch int) []string {
	w := at.Watch[watch]
	value := fmt.Sprintf("%.5g", float64(at.Value))
	if !at.Inside {
		value += " *"
	}
	settles := "never"
	switch {
	case at.Fell:
		settles = "falls"
	case w.Settled && w.Settling >= 0:
		settles = fmt.Sprintf("%.4g", float64(w.Settling))
	}
	peak := "not stable"
	if at.Stable {
		peak = sizeOf(at.Peak)
	}
	var effort []string
	for _, e := range at.Effort {
		effort = append(effort, fmt.Sprintf("%.4g", e.RMS))
	}
	return []string{value, peak, settles, sizeOf(w.Overshoot), sizeOf(w.Swing), strings.Join(effort, ", ")}
}

// Document is what turning the gains of a unit showed, by itself. It is bad where the loop is not stable with the gains as they are.
func (t *Turning) Document(u *model.Unit) *document.Document {
	unstable := slices.ContainsFunc(t.Gains, func(g TurnedGain) bool { return !g.At[1].Stable })
	d := New(u, !unstable && (t.Plane == nil || t.Plane.Stable))
	d.Data = document.Object{{Value: t}}
	d.Parts = []document.Part{document.Line("%s: %s, plant %s, %g s, each live gain at half, once and twice", u.File, u.Spec.Name, u.Plant.Kind.Name, u.Scenario.Duration),
		t.Chapter(u.Scenario)}
	return d
}

// Chapter is what turning the gains showed in a scenario.
func (t *Turning) Chapter(sc *simulate.Scenario) document.Chapter {
	out := document.Chapter{ID: "gains", Title: "Which way to turn a gain", Parts: t.tables(sc)}
	if t.Plane == nil {
		out.Parts = append(out.Parts, document.Aside("There is no picture over two gains: %s.", t.NoPlane))
	}
	return out
}

// tables are the figures at each value of each gain, what explains them, and whether the loop is stable over the whole tuning box.
func (t *Turning) tables(sc *simulate.Scenario) (out []document.Part) {
	for i, w := range sc.Watch {
		table := &document.Table{Title: w.Name + ", in " + w.Unit,
			Columns: document.Labels("gain|>value|>sensitivity peak|>settled after, s|>overshoot|>swing|>effort, rms")}
		for _, g := range t.Gains {
			for k := range g.At {
				table.AddTexts(append([]string{g.Key}, g.At[k].Cells(i)...)...)
			}
		}
		out = append(out, table)
	}
	for _, n := range t.notes() {
		out = append(out, document.Sentence{Text: n})
	}
	return append(out, document.Heading("The whole tuning box"), document.Sentence{Text: t.BoxSentence()})
}

// notes explain the table.
func (t *Turning) notes() []string {
	notes := []string{"Each row is the scenario run once more in real numbers, with that gain at half, once or twice and all else as it is. " +
		"The sensitivity peak is that of the linear loop cut behind the gain's PID: the larger, the less the machine may differ from its model."}
	for _, g := range t.Gains {
		for _, at := range g.At {
			if !at.Inside {
				return append(notes, "* outside the tuning range of this gain: the setter would not take it.")
			}
		}
	}
	return notes
}

// BoxSentence says whether the loop is stable over the whole tuning box.
func (t *Turning) BoxSentence() string {
	b := t.Box
	if b == nil {
		return "The tuning box was not looked at: " + t.NoBox + "."
	}
	grid := fmt.Sprintf("%d points of the tuning box, an even grid of %d each way with its ends", b.Points, b.Each)
	const proof = " A grid proves nothing between its points."
	if b.Unstable == 0 {
		return fmt.Sprintf("Stable as a linear system at all of %s: the largest pole is %.6f, at %s; the least damping %.3f, at %s.", grid, b.Radius,
			t.values(b.RadiusAt), b.Damping, t.values(b.DampedAt)) + proof
	}
	return fmt.Sprintf("Not stable as a linear system at %d of %s; of these the nearest to the gains in force is %s.", b.Unstable, grid, t.values(b.Nearest)) + proof
}

// values writes a set of gains.
func (t *Turning) values(gains []float64) string {
	var out []string
	for i, g := range t.Live {
		out = append(out, named(fmt.Sprintf("%s %.4g", g.Key, gains[i]), g.Unit))
	}
	return listed(out)
}
