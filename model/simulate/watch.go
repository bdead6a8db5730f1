package simulate

import (
	"math"
	"slices"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/finding"
	"gainwright/model/plant"
	"gainwright/model/si"
	"gainwright/model/spec"
)

// Watch is a quantity of the plant that is measured, and what it must do. Limits that are not
// given are NaN.
type Watch struct {
	Quantity int
	Name     string
	Unit     string  // to show it in
	PerUnit  float64 // SI per Unit
	Turn     float64 // a full turn in SI units where the error takes the short way round, else 0
	SetPoint int     // of the scenario; -1: Target is constant
	Target   float64
	perInput float64 // SI per unit of the set-point's input

	Band        float64    // settled means: inside target +- band
	SettlesIn   float64    // seconds after a change of the target
	RecoversIn  float64    // seconds after a disturbance
	Overshoot   float64    // beyond the final value after a change of the target
	Follows     float64    // error while the target is on a ramp
	SteadyError float64    // mean over the last fifth of each time that the target is at rest
	Swing       float64    // to each side, in the second half of the last stretch
	Stays       [2]float64 // from HeldUntil to the end

	Pos  map[string]finding.Pos // of each criterion
	part finding.Pos
}

// Asked tells whether anything is asked of the quantity besides a band, which asks nothing by itself.
func (w *Watch) Asked() bool { return len(w.Pos) > 0 }

// TargetAt is the target at a time, in SI units.
func (w *Watch) TargetAt(s *Scenario, t float64) float64 {
	if w.SetPoint < 0 {
		return w.Target
	}
	return s.SetPoints[w.SetPoint].At(t) * w.perInput
}

// Error is the deviation from a target, the short way round on a circle.
func (w *Watch) Error(value, target float64) float64 {
	e := value - target
	if w.Turn > 0 {
		e -= w.Turn * math.Round(e/w.Turn)
	}
	return e
}

func (r *reader) readWatch() {
	const sample = "{pitch: {target: 0 deg, band: 2 deg}}"
	a := r.Need("watch", sample)
	if a == nil {
		return
	}
	m := r.Below("the watch", *a, sample)
	if m == nil {
		return
	}
	if len(a.Value.Pairs) == 0 {
		r.Say(a.Value.Pos, "watch", "missing-value", sample, "nothing is watched; expected at least one quantity")
	}
	m.Each(func(a spec.Arg) {
		q, port, ok := r.quantity(m, a)
		if !ok {
			return
		}
		if w := m.Below("a watched quantity", a, "{target: 0 deg, band: 2 deg}"); w != nil {
			r.readWatched(w, q, port)
		}
	})
}

func (r *reader) readWatched(m *fields.Map, quantity int, port plant.Port) {
	nan := math.NaN()
	w := Watch{Quantity: quantity, Name: port.Name, Unit: port.Unit, PerUnit: 1, SetPoint: -1, SettlesIn: nan, RecoversIn: nan, Overshoot: nan,
		Follows: nan, SteadyError: nan, Swing: nan, Stays: [2]float64{nan, nan}, Pos: map[string]finding.Pos{}, part: m.Pos}
	before, lost := len(*r.found), false
	if t := m.Need("target", "0 "+port.Unit+", or the name of a set-point"); t != nil {
		w.SetPoint = slices.IndexFunc(r.out.SetPoints, func(s SetPoint) bool { return s.Name == t.Value.Text })
		if w.SetPoint >= 0 {
			in := r.spec.Inputs[r.out.SetPoints[w.SetPoint].Input]
			if f, ok := si.Factor(in.Unit, port.Unit); ok {
				w.perInput = f
			} else {
				m.Say(t.Value.Pos, "target", "wrong-unit", "a set-point measured like "+port.Name, "%s is in %s, the set-point %s in %s", port.Name, port.Unit, in.Name, in.Unit)
			}
		} else if !r.cut && slices.ContainsFunc(r.spec.Inputs, func(in spec.Input) bool { return in.Name == t.Value.Text }) {
			lost = true // that of a set-point which could not be read: it has been said
		} else if _, err := spec.ParseQuantity(t.Value.Text); err != nil && t.Value.Shape == spec.Scalar && len(r.out.SetPoints) > 0 {
			var known []string
			for _, s := range r.out.SetPoints {
				known = append(known, s.Name)
			}
			m.Say(t.Value.Pos, "target", "unknown-set-point", spec.Suggestion(t.Value.Text, known), "expected a number in %s or a set-point, found %s", port.Unit, fields.Shown(t.Value))
		} else {
			w.Target = m.Quantity("target", port.Unit, 0)
		}
	}
	aimed := !lost && !(*r.found)[before:].Failed()
	difference := si.Difference(port.Unit)
	if m.Need("band", "2 "+difference) != nil {
		w.Band = m.Quantity("band", difference, 1)
		m.Inside("band", w.Band, 1e-12, 1e12, difference, "")
		w.Unit, w.PerUnit = writtenUnit(m.Text("band", ""), port)
	}
	if m.Word("around", "line", "circle") == "circle" {
		if f, ok := si.Factor("turn", port.Unit); ok {
			w.Turn = f
		} else {
			m.Say(m.At("around"), "around", "no-angle", "line", "%s is no angle", port.Name)
		}
	}
	criterion := func(key, unit string, into *float64) {
		if m.Has(key) {
			*into = m.Quantity(key, unit, math.NaN())
			w.Pos[key] = m.At(key)
			m.Inside(key, *into, 0, 1e12, unit, "")
		}
	}
	criterion("settles_in", "s", &w.SettlesIn)
	criterion("recovers_in", "s", &w.RecoversIn)
	criterion("overshoot", difference, &w.Overshoot)
	criterion("follows_within", difference, &w.Follows)
	criterion("steady_error", difference, &w.SteadyError)
	criterion("swing", difference, &w.Swing)
	if m.Has("stays") {
		w.Pos["stays"] = m.At("stays")
		if lo, hi, ok := m.Span("stays", port.Unit); ok {
			w.Stays = [2]float64{lo, hi}
		}
	}
	m.Done()
	if r.cut && aimed {
		r.untested(m, &w)
	}
	r.out.Watch = append(r.out.Watch, w)
}

// writtenUnit is the unit behind a number, to show results in, and what one of it is in the port's.
func writtenUnit(text string, port plant.Port) (string, float64) {
	if f := strings.Fields(text); len(f) == 2 {
		if factor, ok := si.Factor(f[1], si.Difference(port.Unit)); ok {
			if f[1] == "K" && port.Unit == "degC" {
				return port.Unit, 1
			}
			return f[1], factor
		}
	}
	return port.Unit, 1
}

func (r *reader) readFall() {
	const sample = "{pitch: 35 deg}"
	m := r.Section("falls", "a fall", sample)
	if m == nil {
		return
	}
	m.Each(func(a spec.Arg) {
		q, port, ok := r.quantity(m, a)
		if !ok {
			return
		}
		if r.out.Fall != nil {
			m.Say(a.Pos, a.Key, "too-many", sample, "one quantity tells a fall")
			return
		}
		if x, ok := m.Measure(a.Value, a.Key, port.Unit); ok {
			m.Inside(a.Key, x, 1e-9, 1e9, port.Unit, "")
			if floor, ok := r.plant.Values["floor_at"]; ok && a.Key == "pitch" && x >= floor {
				m.Say(a.Value.Pos, a.Key, "tests-nothing", sample, "the body lies on the floor at %.4g deg (floor_at): it never leans beyond %.4g", floor*180/math.Pi, x*180/math.Pi)
			}
			r.out.Fall = &Fall{Quantity: q, Name: a.Key, Beyond: x, Pos: a.Pos}
		}
	})
}
