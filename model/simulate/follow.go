package simulate

import (
	"math"

	"gainwright/model/program"
)

// Tick is what an onlooker sees after each tick of both loops. Nothing of it may be changed or kept.
type Tick struct {
	Number  int
	Time    float64               // seconds
	Real    *program.RealMachine  // the reference after the tick
	Whole   *program.FixedMachine // the integer program after the tick
	Outputs [2][]float64          // of the controllers, in their units
	Watched [2][]float64          // of the plants as they were at the tick, in the order of the scenario's watch, in SI units
}

// Follow runs both loops and shows each tick to an onlooker, until it has seen enough or one of the loops is lost. With
// asked set to the stored constants (see New) the two loops differ by their arithmetic alone.
func (s *System) Follow(seed uint64, see func(*Tick) (more bool)) {
	hz, _ := s.Spec.Rate.Float64()
	ticks := int(math.Ceil(s.Scenario.Duration*hz)) + 1
	real, whole := newReal(s.Asked, s.Spec), newInteger(s.Integer, s.Spec)
	loops := [2]*loop{s.newLoop("reference", real, 0), s.newLoop("integer", whole, 0)}
	noise := s.Plant.NewNoise(seed)
	commands := make([]int64, len(s.Scenario.SetPoints))
	out := Tick{Real: real.run, Whole: whole.run}
	for i, l := range loops {
		out.Outputs[i], out.Watched[i] = l.outputs, make([]float64, len(l.watched))
	}
	for k := range ticks {
		out.Number, out.Time = k, float64(k)/hz
		s.Scenario.command(commands, out.Time)
		c := noise.Next()
		for n, l := range loops {
			l.tick(s, out.Time, c, commands)
			for i := range l.watched { // an onlooker keeps what it wants
				out.Watched[n][i] = l.watched[i][0]
				l.watched[i] = l.watched[i][:0]
			}
		}
		if !see(&out) || loops[0].lost || loops[1].lost {
			return
		}
	}
}
