package loop

// View is the linear view of a loop.
type View struct {
	Period    float64     `json:"period_s"` // of a tick
	Poles     []Pole      `json:"poles"`    // of the closed loop; those at 0, of delays and of filters' memories, are left out and counted
	AtZero    int         `json:"poles_at_zero"`
	Stable    [2]bool     `json:"stable"`      // with the gains asked, and stored; the other pairs have the same order
	Computing float64     `json:"computing_s"` // of the controller, counted as a delay of every output
	Cuts      []Cut       `json:"cuts"`        // one behind each PID, where gains are turned, then one at each output that drives the plant
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

// Cut is the loop cut at one place, everything else at work: behind a PID, or at an output of the controller.
type Cut struct {
	PID     string     `json:"pid,omitempty"`
	Output  string     `json:"output,omitempty"`
	Margins [2]Margins `json:"margins"`
	Bode    [2]Bode    `json:"bode"`
}

// Later tells what becomes of the loop when every output comes some ticks later.
type Later struct {
	Ticks  int        `json:"ticks"`
	Radius [2]float64 `json:"radius"` // of the largest pole
	Stable [2]bool    `json:"stable"`
}
