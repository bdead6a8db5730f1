package plant

// Port is a quantity that goes into a plant or comes out of it.
type Port struct {
	Name string
	Unit string // SI, or the author's own
	Doc  string // one line, with the direction that counts as positive
	Load bool   // an input that the world acts on: no actuator may drive it
	Rest float64
}

// Model is the dynamics of a plant in SI units: dx/dt = f(x, u), quantities = g(x, dx/dt, u).
// A Model holds no state, so that several runs may share it.
type Model interface {
	Inputs() []Port     // what u holds, actuated and loads
	Quantities() []Port // what can be sensed and watched
	// Start returns the state at which the named quantities have the given values and all
	// others are at rest. Names are those of Settable.
	Start(of map[string]float64) []float64
	Settable() []string
	// Flow writes dx/dt at x under u.
	Flow(dx, x, u []float64)
	// Observe writes the quantities. dx is the rate of x, or zero while the machine is held still.
	Observe(q, x, dx, u []float64)
	// Settle is called after each step of the integration: friction that has brought something to a stop,
	// and end stops, change the state here.
	Settle(x, u []float64)
}

// Electric is a Model that is driven by voltages. A voltage at input i draws Draw(i, ...) amperes.
type Electric interface {
	Draw(i int, x, u []float64) float64
}

// stepper advances a state under constant inputs, in place. It belongs to one run.
type stepper interface {
	step(x, u []float64, seconds float64)
}
