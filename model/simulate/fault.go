package simulate

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gainwright/model/fields"
	"gainwright/model/spec"
)

// Fault is something that breaks for a while.
type Fault struct {
	At, For float64
	Sensor  int // input of the controller that reads wrongly; -1: none
	Output  int // output of the controller that acts wrongly; -1: none
	Restart bool
	How     string  // frozen, value, bit
	Value   float64 // raw counts of a sensor, or an output in its unit
	Bit     uint    // of the raw reading of a sensor, from 0, that is stuck
	High    bool    // at 1, or at 0
	bits    uint    // of the register
	signed  bool
	About   string
}

// during tells whether the fault holds at a time.
func (f *Fault) during(t float64) bool { return t >= f.At && t < f.At+f.For }

// read is what a sensor says instead of a raw reading.
func (f *Fault) read(raw int64) int64 {
	switch f.How {
	case "value":
		return int64(f.Value)
	case "bit":
		word := uint64(raw) &^ (1 << f.Bit)
		if f.High {
			word |= 1 << f.Bit
		}
		word &= 1<<f.bits - 1
		if f.signed && word>>(f.bits-1) == 1 {
			return int64(word) - 1<<f.bits
		}
		return int64(word)
	}
	return raw
}

func (r *reader) readFaults() {
	const want = "sensor: and reads: (or bit: and stuck:), output: and gives:, or controller: restarts"
	for i, v := range r.Items("faults", "[{at: 10 s, for: 1 s, sensor: pitch_rate, reads: frozen}]") {
		m := r.event("a fault", "faults", i, v)
		if m == nil {
			continue
		}
		f := Fault{Sensor: -1, Output: -1, About: m.Text("about", "a wire is loose")}
		f.At, f.For = r.when(m)
		given := 0
		if a := m.Arg("sensor"); a != nil {
			given++
			var good []string
			for _, s := range r.plant.Sensors {
				good = append(good, s.Name)
				if s.Name == a.Value.Text {
					f.Sensor = s.Input
				}
			}
			if f.Sensor < 0 {
				m.Say(a.Value.Pos, "sensor", "unknown-sensor", spec.Suggestion(a.Value.Text, good), "no sensor fills an input %s", fields.Shown(a.Value))
			}
			if m.Has("bit") || m.Has("stuck") {
				r.stuck(m, &f)
			} else {
				f.how(m, "reads", "frozen", "count")
			}
			if f.Sensor >= 0 && f.How == "value" {
				in := r.spec.Inputs[f.Sensor]
				f.holds(m, "reads", in.Name, in.Raw, 1, "count")
			}
		}
		if a := m.Arg("output"); a != nil {
			given++
			good := r.spec.OutputNames()
			if f.Output = slices.Index(good, a.Value.Text); f.Output < 0 {
				m.Say(a.Value.Pos, "output", "unknown-output", spec.Suggestion(a.Value.Text, good), "the controller has no output %s", fields.Shown(a.Value))
			} else {
				o := r.spec.Outputs[f.Output]
				f.how(m, "gives", "frozen", o.Unit)
				if perUnit, _ := o.CountsPerUnit.Float64(); f.How == "value" {
					f.holds(m, "gives", o.Name, o.Raw, perUnit, o.Unit)
				}
			}
		}
		if m.Has("controller") {
			given++
			m.Word("controller", "restarts")
			f.Restart = true
		}
		if given != 1 {
			m.Say(m.Pos, "", "missing-key", want, "a fault says one thing that breaks: %s", want)
		}
		m.Done()
		r.out.Faults = append(r.out.Faults, f)
	}
}

// stuck reads which bit of a raw reading always says the same.
func (r *reader) stuck(m *fields.Map, f *Fault) {
	f.How = "bit"
	if m.Has("reads") {
		m.Say(m.At("reads"), "reads", "two-faults", "a fault of its own", "a reading with a bit stuck still says something: reads stands without bit and stuck")
	}
	if m.Need("stuck", "low") != nil {
		f.High = m.Word("stuck", "low", "high") == "high"
	}
	if m.Need("bit", "0") == nil || f.Sensor < 0 {
		return
	}
	raw := r.spec.Inputs[f.Sensor].Raw
	bits, err := strconv.ParseUint(strings.TrimLeft(raw, "uint"), 10, 8)
	if err != nil {
		return // no number: package spec says what may stand there
	}
	f.bits, f.signed = uint(bits), raw[0] != 'u'
	bit := m.Quantity("bit", "", 0)
	switch {
	case bit != math.Trunc(bit):
		m.Say(m.At("bit"), "bit", "not-whole", "0", "expected a whole number, found %s", fields.Shown(m.Arg("bit").Value))
	case m.Inside("bit", bit, 0, float64(bits-1), "", fmt.Sprintf(": %s has %d bits, and the lowest is 0", raw, bits)):
		f.Bit = uint(bit)
	}
}

// how reads what a broken part does instead.
func (f *Fault) how(m *fields.Map, key, frozen, unit string) {
	a := m.Need(key, frozen+", or 0 "+unit)
	switch {
	case a == nil:
	case a.Value.Shape == spec.Scalar && a.Value.Text == frozen:
		f.How = frozen
	default:
		f.How = "value"
		f.Value = m.Quantity(key, unit, 0)
	}
}

// holds refuses a value that the register of the broken part cannot hold: nothing could give it.
func (f *Fault) holds(m *fields.Map, key, name, raw string, perUnit float64, unit string) {
	lo, hi := spec.RawRange(raw)
	counts := f.Value * perUnit
	if c := math.Round(counts); c < float64(lo) || c > float64(hi) {
		a, b := float64(lo)/perUnit, float64(hi)/perUnit
		m.Inside(key, f.Value, min(a, b), max(a, b), unit, fmt.Sprintf(": %s is %s and holds %d to %d counts", name, raw, lo, hi))
	} else if key == "reads" && c != counts {
		m.Say(m.At(key), key, "not-whole", fmt.Sprintf("%.0f count", c), "expected a whole number of counts, found %s", m.Text(key, ""))
	}
}
