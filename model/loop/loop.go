// Package loop looks at a controller and its machine as one linear loop, and says how far rounding can push it.
//
// The machine is linearised at rest and sampled; the controller is taken at its working point: switches as they stand when it has
// settled, limits inactive, held values held, outputs with a least effort driving. New returns the poles of the closed loop, its margins and its
// curves, once with the gains that the spec asks for and once with those that the integer program stores, and proves how far the
// arithmetic of the integer program can push the machine. A View is plain data for a report to draw.
package loop

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gainwright/model/plant"
	"gainwright/model/program"
	"gainwright/model/simulate"
	"gainwright/model/spec"
)

// System is what there is to look at.
type System struct {
	Spec     *spec.Spec
	Asked    *program.Program // real, constants as the spec asks
	Stored   *program.Program // real, constants as the integer program stores them
	Integer  *program.Program
	Plant    *plant.Plant
	Scenario *simulate.Scenario // nil: no quantity is watched, nothing is run
}

// View is the linear view of a loop.
type View struct {
	Period    float64     `json:"period_s"` // of a tick
	Poles     []Pole      `json:"poles"`    // of the closed loop; those at 0, of delays and of filters' memories, are left out and counted
	AtZero    int         `json:"poles_at_zero"`
	Stable    [2]bool     `json:"stable"` // with the gains asked, and stored; the other pairs have the same order
	Cuts      []Cut       `json:"cuts"`   // one for each output that drives the plant, the other outputs at work
	Later     []Later     `json:"later"`
	Deviation []Deviation `json:"deviation"` // one for each quantity that the scenario watches
	Runs      []Run       `json:"runs"`
	Notes     []string    `json:"notes"` // what was taken as linear and is not
}

// Pole is one pole of the sampled closed loop, in z. Of a pair of conjugates the one above the real axis is listed.
type Pole struct {
	Asked   Point   `json:"asked"`
	Stored  Point   `json:"stored"`
	Moved   float64 `json:"moved"`      // distance between the two
	Hz      float64 `json:"natural_hz"` // of the stored one, in continuous time: |ln z| / (2*pi*period)
	Damping float64 `json:"damping"`
	Pair    bool    `json:"pair"`
}

// Point is a complex number.
type Point struct {
	Re float64 `json:"re"`
	Im float64 `json:"im"`
}

// Cut is the loop cut at one output of the controller.
type Cut struct {
	Output  string     `json:"output"`
	Margins [2]Margins `json:"margins"`
	Bode    [2]Bode    `json:"bode"`
}

// Later tells what becomes of the loop when every output comes some ticks later.
type Later struct {
	Ticks  int        `json:"ticks"`
	Radius [2]float64 `json:"radius"` // of the largest pole
	Stable [2]bool    `json:"stable"`
}

// lost is the size from which on a pole counts as not decaying.
const lost = 1 - 1e-9

// New takes the linear view. It fails where the plant's delays are too long for it.
func New(s *System) (*View, error) {
	hz, _ := s.Spec.Rate.Float64()
	v := &View{Period: 1 / hz}
	m := s.materials()
	programs := [2]*controller{s.controller(s.Asked, false, m), s.controller(s.Stored, false, m)}
	now, err := s.sampled(m, 0)
	if err != nil {
		return nil, err
	}
	var poles [2][]complex128
	for i, c := range programs {
		poles[i], v.Stable[i] = closed(c, now)
	}
	v.match(poles)
	for _, o := range s.driving() {
		cut := Cut{Output: s.Spec.Outputs[o].Name}
		for i, c := range programs {
			j := join(c, now, o)
			row := j.outputs()[o]
			keep := reaching(j.a, matrix{row})
			t := &transfer{j.a.rows(keep).columns(keep), pick(j.at(o), keep), pick(row, keep), v.Period}
			cut.Margins[i], cut.Bode[i] = t.read()
			if !v.Stable[i] {
				cut.Margins[i] = Margins{} // margins of a loop that is not stable would mislead
			}
		}
		v.Cuts = append(v.Cuts, cut)
	}
	for ticks := 1; ticks <= 2; ticks++ {
		late, err := s.sampled(m, ticks)
		if err != nil {
			return nil, err
		}
		l := Later{Ticks: ticks}
		for i, c := range programs {
			p, stable := closed(c, late)
			l.Stable[i] = stable
			for _, z := range p {
				l.Radius[i] = math.Max(l.Radius[i], cmplx.Abs(z))
			}
		}
		v.Later = append(v.Later, l)
	}
	v.Notes = s.notes(programs[1])
	if s.Scenario != nil {
		s.deviations(v, m, now)
	}
	return v, nil
}

// materials are what all views of a system share.
type materials struct {
	linear     *plant.Linear
	raw        []int64   // the controller's inputs at rest
	units      []float64 // of one count of each input
	signs      []float64 // of each output
	quantities []int     // watched
}

func (s *System) materials() *materials {
	m := &materials{linear: s.Plant.Linear(), raw: make([]int64, len(s.Asked.Inputs))}
	for i, in := range s.Asked.Inputs {
		m.units = append(m.units, unit(in.LSB, in.LSB == nil))
		if in.IsSwitch {
			m.raw[i] = 1
		}
	}
	for _, sensor := range s.Plant.Sensors {
		at := 0.0
		if m.linear.Rest != nil {
			at = m.linear.Rest[sensor.Quantity]
		}
		clean := sensor
		clean.Bias, clean.Drift, clean.Noise = 0, 0, 0
		m.raw[sensor.Input] = clean.Count(at, 0, 0)
	}
	for _, o := range s.Spec.Outputs {
		m.signs = append(m.signs, float64(o.CountsPerUnit.Sign()))
	}
	if s.Scenario == nil {
		return m
	}
	for _, p := range s.Scenario.SetPoints { // a switch as it stands in the end
		if s.Asked.Inputs[p.Input].IsSwitch {
			m.raw[p.Input] = int64(p.Points[len(p.Points)-1].Value)
		}
	}
	for _, w := range s.Scenario.Watch {
		m.quantities = append(m.quantities, w.Quantity)
	}
	return m
}

// controller takes a program to its working point, its outputs with the signs of their raw values.
func (s *System) controller(p *program.Program, integer bool, m *materials) *controller {
	c := near(p, integer, m.raw)
	for i, sign := range m.signs {
		for _, rows := range []matrix{c.c, c.d, c.f} {
			for j := range rows[i] {
				rows[i][j] *= sign
			}
		}
	}
	return c
}

func (s *System) sampled(m *materials, later int) (*sampled, error) {
	hz, _ := s.Spec.Rate.Float64()
	return sample(s.Plant, m.linear, 1/hz, len(s.Asked.Inputs), m.units, len(s.Spec.Outputs), m.quantities, later)
}

// driving lists the outputs that drive the plant.
func (s *System) driving() []int {
	var out []int
	for _, a := range s.Plant.Actuators {
		if !slices.Contains(out, a.Output) {
			out = append(out, a.Output)
		}
	}
	slices.Sort(out)
	return out
}

// closed are the poles of the closed loop that the outputs show.
func closed(c *controller, s *sampled) ([]complex128, bool) {
	j := join(c, s, -1)
	keep := reaching(j.a, j.outputs())
	poles := j.a.rows(keep).columns(keep).eigenvalues()
	for _, p := range poles {
		if !(cmplx.Abs(p) < lost) {
			return poles, false
		}
	}
	return poles, true
}

func pick(x []float64, which []int) []float64 {
	out := make([]float64, len(which))
	for i, k := range which {
		out[i] = x[k]
	}
	return out
}

// match pairs each stored pole with the nearest asked one that is left, the largest first.
func (v *View) match(poles [2][]complex128) {
	const none = 1e-3 // a pole this close to 0 is a delay's: multiple ones scatter around it
	var sets [2][]complex128
	for i, ps := range poles {
		for _, p := range ps {
			if imag(p) >= 0 && cmplx.Abs(p) > none {
				sets[i] = append(sets[i], p)
			} else if i == 1 && cmplx.Abs(p) <= none {
				v.AtZero++
			}
		}
		slices.SortFunc(sets[i], func(a, b complex128) int {
			if d := cmplx.Abs(b) - cmplx.Abs(a); d != 0 {
				return int(math.Copysign(1, d))
			}
			return int(math.Copysign(1, imag(b)-imag(a)))
		})
	}
	left := slices.Clone(sets[0])
	for _, z := range sets[1] {
		if len(left) == 0 {
			break
		}
		at := 0
		for i, p := range left {
			if cmplx.Abs(p-z) < cmplx.Abs(left[at]-z) {
				at = i
			}
		}
		p := left[at]
		left = slices.Delete(left, at, at+1)
		s := cmplx.Log(z)
		v.Poles = append(v.Poles, Pole{Asked: Point{real(p), imag(p)}, Stored: Point{real(z), imag(z)}, Moved: cmplx.Abs(p - z),
			Hz: cmplx.Abs(s) / (2 * math.Pi * v.Period), Damping: -real(s) / cmplx.Abs(s), Pair: imag(z) > 0})
	}
}

// notes say what the view takes as linear and is not.
func (s *System) notes(c *controller) []string {
	out := slices.Clone(c.notes)
	if _, ok := s.Plant.Model.(*plant.Linear); !ok {
		out = append(out, "the plant is linearised at rest; static friction counts as sliding")
	}
	if s.Plant.Battery != nil {
		out = append(out, "the battery counts as a stiff supply at its open voltage less the drop of the constant load")
	}
	for _, a := range s.Plant.Actuators {
		if least := s.Spec.Outputs[a.Output].LeastEffort; a.DeadBand > 0 || least != nil {
			out = append(out, fmt.Sprintf("%s: its least effort and the actuator's dead band count as overcome", a.From))
		}
	}
	for _, t := range s.Plant.Sensors {
		if t.Dropped > 0 || t.Late > 0 {
			out = append(out, fmt.Sprintf("%s: no sample is dropped or late", t.Name))
		}
	}
	if s.Plant.Jitter > 0 {
		out = append(out, "ticks come at their time, without jitter")
	}
	return out
}
