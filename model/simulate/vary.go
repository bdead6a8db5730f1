package simulate

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"gainwright/model/si"
	"gainwright/model/spec"
)

// Tolerance is by how much a number may be off in one of many runs.
type Tolerance struct {
	Path string // of the plant's number, or start. and a quantity
	Off  float64
}

func (r *reader) readVary() {
	a := r.Arg("vary")
	if a == nil {
		return
	}
	const sample = "{body_mass: 5 %}"
	m := r.Below("the list of tolerances", *a, sample)
	if m == nil {
		return
	}
	if len(a.Value.Pairs) == 0 {
		m.Say(a.Value.Pos, "", "missing-value", sample, "nothing varies; expected at least one tolerance, or no vary")
	}
	m.Each(func(a spec.Arg) {
		nominal, known := r.plant.Values[a.Key]
		unit, limits := r.plant.Units[a.Key], r.plant.Limits[a.Key]
		if name, ok := strings.CutPrefix(a.Key, "start."); ok && slices.Contains(r.plant.Model.Settable(), name) {
			known, nominal, limits = true, r.out.Start[name], [2]float64{-1e9, 1e9}
			unit = r.plant.Model.Quantities()[r.plant.Quantity(name)].Unit
		}
		if !known {
			good := slices.Collect(maps.Keys(r.plant.Values))
			for _, q := range r.plant.Model.Settable() {
				good = append(good, "start."+q)
			}
			slices.Sort(good)
			path := "the path of a number below plant, such as " + r.plant.Kind.Params[0].Key + ", or start. and a quantity"
			m.Say(a.Pos, a.Key, "unknown-number", cmp.Or(spec.Nearest(a.Key, good), path), "the plant has no number %q", a.Key)
			return
		}
		var off float64
		if q, err := spec.ParseQuantity(a.Value.Text); err == nil && (q.Unit == "%" || q.Unit == "percent") {
			x, _ := q.Number.Float64()
			off = math.Abs(nominal) * x / 100
		} else if x, ok := m.Measure(a.Value, a.Key, si.Difference(unit)); ok {
			off = x
		} else {
			return
		}
		if off < 0 || nominal-off < limits[0] || nominal+off > limits[1] {
			m.Say(a.Value.Pos, a.Key, "out-of-range", "a smaller tolerance, such as 5 %", "with this tolerance the number would leave what it may be")
			return
		}
		if off == 0 {
			m.Say(a.Value.Pos, a.Key, "tests-nothing", "a tolerance in "+cmp.Or(si.Difference(unit), "numbers")+", above 0", "%s varies by nothing: its number is %g", a.Key, nominal)
			return
		}
		r.out.Vary = append(r.out.Vary, Tolerance{a.Key, off})
	})
}
