package plant

import (
	"fmt"
	"math"

	"gainwright/model/fields"
	"gainwright/model/spec"
)

// Kind is a kind of plant. To add one, write its file and list it in Kinds.
type Kind struct {
	Name   string
	Doc    string // what it is, one line
	Source string // where the equations are published
	Params []Param
	More   []string // the keys that Extra reads, as they are written
	// Extra reads what is no single number, such as matrices; nil where there is nothing.
	Extra func(m *fields.Map) any
	Build func(v Values, extra any) Model
	// Check says which of the numbers, each within its limits, do not go together; nil: all do.
	Check func(m *fields.Map, v Values)
}

// Param is a number that a kind needs.
type Param struct {
	Key      string
	Unit     string
	Doc      string
	Typical  string // a usual value and where it is from, where one is known
	Sample   string
	Default  func(v Values) float64 // of the parameters before it; nil: the parameter is needed
	Low      float64                // the least value allowed, in Unit
	High     float64
	OwnUnits func(extra any) string // the unit where it hangs on the author's choice; nil: Unit
}

// Values holds numbers in SI units by the path that names them in a spec below `plant`, such as
// body_mass or sensors.pitch_rate.noise.
type Values map[string]float64

const tiny = 1e-12 // the least value of what must be above 0

// Kinds lists the kinds in the order of the documentation.
func Kinds() []*Kind {
	return []*Kind{pendulumKind, differentialKind, motorKind, heaterKind, firstOrderKind, doubleIntegratorKind, resonanceKind, stateSpaceKind, transferKind}
}

func constant(x float64) func(Values) float64 { return func(Values) float64 { return x } }

// readParams reads the numbers of the plant's kind.
func (p *Plant) readParams(m *fields.Map) {
	for _, q := range p.Kind.Params {
		unit, fallback := q.Unit, q.typical()
		if q.OwnUnits != nil {
			unit = q.OwnUnits(p.extra)
		}
		if q.Default != nil {
			fallback = q.Default(p.Values)
		} else {
			m.Need(q.Key, q.Sample+" ("+q.Doc+")")
		}
		p.number(m, "", q.Key, unit, fallback, q.Low, q.High, ": "+q.Doc)
	}
}

// typical is a harmless value to go on with after a finding.
func (p Param) typical() float64 { return math.Max(p.Low, math.Min(p.High, 1)) }

// ports reads a map from names to units, such as {voltage: V}. One name is expected where single is set.
func ports(m *fields.Map, key, sample string, single bool) []Port {
	if m.Need(key, sample) == nil {
		return []Port{{Name: key, Unit: ""}}
	}
	var out []Port
	pairs := m.Pairs(key, sample)
	for _, a := range pairs {
		if a.Value.Shape != spec.Scalar {
			m.Say(a.Value.Pos, key+"."+a.Key, "wrong-shape", sample, "expected a unit, found %s", fields.Shown(a.Value))
			continue
		}
		unit := a.Value.Text
		if unit == "1" {
			unit = ""
		}
		out = append(out, Port{Name: a.Key, Unit: unit, Doc: "as the author named it"})
	}
	if len(out) == 0 || single && len(out) > 1 {
		if len(pairs) == len(out) {
			m.Say(m.At(key), key, "wrong-shape", sample, "expected %s, found %d", map[bool]string{true: "one name with its unit", false: "names with their units"}[single], len(out))
		}
		return []Port{{Name: key, Unit: ""}}
	}
	if len(out) > maxPorts {
		m.Say(m.At(key), key, "too-many", fmt.Sprintf("at most %d names", maxPorts), "%d names; at most %d are read", len(out), maxPorts)
		out = out[:maxPorts]
	}
	return out
}

const (
	maxPorts  = 16
	maxStates = 24
)
