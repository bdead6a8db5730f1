package plant

// Port is a quantity that goes into a plant or comes out of it.
type Port struct {
	Name string
	Unit string // SI, or the author's own
	Doc  string // one line, with the direction that counts as positive
	Load bool   // an input that the world acts on: no actuator may drive it
	Rest float64

	// A quantity that a sensor reads along an axis of the body, so that it matters how the sensor sits. Across is the quantity along the axis at right
	// angles to it, which is a part Sign of the reading of a sensor that is turned nose up; empty: nothing moves there.
	Axial  bool
	Across string
	Sign   float64
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
}

// Switching is a Model with parts that stick, slide, strike or lie: smooth between such events. The last entries of its
// state say in which mode each part is; they do not flow.
type Switching interface {
	Model
	Modes() int // how many entries of the state are modes, and how many guards there are
	// Guards writes numbers that fall below 0 where the mode of x ends.
	Guards(g, x, u []float64)
	// Settle brings the modes, and what stops with a blow, in line with x and u: at the start of a piece with other inputs, and
	// where a guard has run out.
	Settle(x, u []float64)
}

// Driven is a Model with motors, which voltages drive, and whose unbalance shakes what sits on the machine.
type Driven interface {
	// Draw is the current at input i, that of all its motors: idle amperes at 0 V, and more for each volt. Where the winding
	// has an inductance its current is a state, and a volt changes nothing at once.
	Draw(i int, x []float64) (idle, perVolt float64)
	// Hold is the voltage at which the current in a winding with an inductance stays as it is.
	Hold(i int, x []float64) float64
	// Motors is how many motors input i drives, in parallel; 0: none that is known.
	Motors(i int) float64
	Rotors() int
	// Rotor is the angle and the speed of a motor before its gear.
	Rotor(i int, x []float64) (angle, speed float64)
}

// noMotors is the Driven of dynamics of which nothing is known about motors.
type noMotors struct{}

func (noMotors) Draw(int, []float64) (idle, perVolt float64) { return 0, 0 }
func (noMotors) Hold(int, []float64) float64                 { return 0 }
func (noMotors) Motors(int) float64                          { return 0 }
func (noMotors) Rotors() int                                 { return 0 }
func (noMotors) Rotor(int, []float64) (angle, speed float64) { return 0, 0 }
