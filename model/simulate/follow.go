package simulate

import "gainwright/model/program"

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
	out := Tick{Real: program.NewRealMachine(s.Asked), Whole: program.NewFixedMachine(s.Integer)}
	for i := range out.Watched {
		out.Watched[i] = make([]float64, len(s.Scenario.Watch))
	}
	s.side([2]controller{inReal(out.Real, s.Asked, s.Spec), inIntegers(out.Whole, s.Integer, s.Spec)}, seed, func(k int, t float64, loops [2]*loop) bool {
		out.Number, out.Time = k, t
		for n, l := range loops {
			out.Outputs[n] = l.outputs
			for i := range l.watched { // an onlooker keeps what it wants
				out.Watched[n][i] = l.watched[i][0]
				l.watched[i] = l.watched[i][:0]
			}
		}
		return see(&out) && !loops[0].lost && !loops[1].lost
	})
}
