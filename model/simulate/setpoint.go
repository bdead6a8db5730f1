package simulate

import (
	"fmt"
	"math"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/spec"
)

// readSetPoints reads the inputs that the scenario commands; every input that no sensor fills must be there.
func (r *reader) readSetPoints() {
	const sample = "{wanted: {0 s: 0 deg, 2 s: 90 deg}}"
	sensed := map[int]bool{}
	for _, s := range r.plant.Sensors {
		sensed[s.Input] = true
	}
	given := map[string]spec.Arg{}
	if m := r.Section("set_points", "the set-points", sample); m != nil {
		var good []string
		for i, in := range r.spec.Inputs {
			if !sensed[i] {
				good = append(good, in.Name)
			}
		}
		m.Each(func(a spec.Arg) {
			given[a.Key] = a
			for i, in := range r.spec.Inputs {
				switch {
				case in.Name != a.Key:
				case sensed[i]:
					m.Say(a.Pos, a.Key, "sensed-already", "it in one of the two places", "the input %s is filled by a sensor of the plant", a.Key)
					return
				default:
					r.readSetPoint(m, i, a)
					return
				}
			}
			m.Say(a.Pos, a.Key, "unknown-input", spec.Suggestion(a.Key, append(good, "no set-point")), "the controller has no input %q", a.Key)
		})
	}
	for i, in := range r.spec.Inputs {
		if _, ok := given[in.Name]; ok || sensed[i] {
			continue
		}
		value := "0 " + in.Unit
		if in.Raw == "bool" {
			value = "on"
		}
		r.Say(r.Pos, "set_points", "input-without-source", "set_points: {"+in.Name+": "+value+"}, or a sensor below plant", "nothing fills the controller's input %s", in.Name)
	}
}

func (r *reader) readSetPoint(m *fields.Map, input int, a spec.Arg) {
	in := r.spec.Inputs[input]
	s := SetPoint{Input: input, Name: in.Name, Switch: in.Raw == "bool", pos: a.Pos}
	if in.Raw == "bool" {
		s.raw = func(v float64) int64 { return int64(v) }
	} else {
		counts, _ := in.CountsPerUnit.Float64()
		offset, _ := in.Offset.Float64()
		least, most := spec.RawRange(in.Raw)
		s.raw = func(v float64) int64 {
			return int64(math.Max(float64(least), math.Min(float64(most), math.Round((v-offset)*counts))))
		}
	}
	points := a.Value.Pairs
	if a.Value.Shape != spec.Map { // one value for the whole time
		points = []spec.Arg{{Key: "0 s", Pos: a.Pos, Value: a.Value}}
	}
	if len(points) == 0 || len(points) > maxEvents {
		m.Say(a.Value.Pos, a.Key, "wrong-size", "{0 s: ..., 5 s: ...}", "expected 1 to %d points, found %d", maxEvents, len(points))
		return
	}
	for _, p := range points {
		at, ok := m.Measure(spec.Value{Pos: p.Pos, Text: p.Key}, a.Key, "s")
		if !ok {
			return
		}
		point := Point{At: at}
		value := p.Value
		if text, ramp := strings.CutPrefix(value.Text, "ramp to "); ramp {
			point.Ramp, value.Text = true, strings.TrimSpace(text)
		}
		switch {
		case in.Raw == "bool" && value.Shape == spec.Scalar && (value.Text == "on" || value.Text == "off") && !point.Ramp:
			point.Value = map[string]float64{"on": 1}[value.Text]
		case in.Raw == "bool":
			m.Say(p.Value.Pos, a.Key, "not-a-switch", "on", "expected on or off, found %s", fields.Shown(p.Value))
			return
		default:
			if point.Value, ok = m.Measure(value, a.Key, in.Unit); !ok {
				return
			}
		}
		last := len(s.Points) - 1
		switch {
		case last < 0 && at != 0:
			m.Say(p.Pos, a.Key, "no-start", "a point at 0 s", "the first point is at %s; the value before it is not known", p.Key)
			return
		case last < 0 && point.Ramp:
			m.Say(p.Value.Pos, a.Key, "no-start", value.Text, "a ramp needs a point before it")
			return
		case last >= 0 && r.timed && at >= r.out.Duration:
			m.Say(p.Pos, a.Key, "after-the-end", "an earlier time, or a longer scenario", "the point at %s is not before the end of the scenario, %.6g s: it is never reached", p.Key, r.out.Duration)
			return
		case last >= 0 && at == s.Points[last].At && s.Points[last].Ramp && !point.Ramp: // it jumps where a ramp ends
		case last >= 0 && at <= s.Points[last].At:
			m.Say(p.Pos, a.Key, "not-in-order", "later times behind earlier ones", "the point at %s does not come after the one before it", p.Key)
			return
		}
		if hz, _ := r.spec.Rate.Float64(); last >= 0 && !point.Ramp && !s.Points[last].Ramp && firstTick(s.Points[last].At, hz) == firstTick(at, hz) {
			m.Say(p.Pos, a.Key, "between-ticks", fmt.Sprintf("a point %.6g s later at least", 1/hz), "between the point before it and that at %s lies no tick: the value before it never comes", p.Key)
			return
		}
		s.Points = append(s.Points, point)
	}
	r.out.SetPoints = append(r.out.SetPoints, s)
}
