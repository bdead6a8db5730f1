package plant

// winding is the electric side of motors.
type winding struct {
	resistance float64 // of one motor
	motors     float64 // in parallel at each input
	inductive  bool
	emf        func(i int, x []float64) float64 // of the motors at input i, V
	current    func(x []float64) float64        // of an inductive one
}

func (w *winding) Draw(i int, x []float64) (idle, perVolt float64) {
	if w.inductive {
		return w.current(x), 0
	}
	return -w.motors * w.emf(i, x) / w.resistance, w.motors / w.resistance
}

func (w *winding) Hold(i int, x []float64) float64 { return w.resistance*w.current(x) + w.emf(i, x) }

func (w *winding) Motors(int) float64 { return w.motors }
