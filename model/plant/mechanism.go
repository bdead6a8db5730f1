package plant

import "math"

// mostCoordinates is the most coordinates of any machine.
const mostCoordinates = 4

type (
	vector [mostCoordinates]float64
	matrix [mostCoordinates]vector
	pushed struct {
		mass  matrix
		force vector
	}
)

// joint is a place where bodies rub or strike. It works along a combination of the velocities.
type joint struct {
	along vector
	// Friction, where width is 0: sticks up to static, slides against sliding. After Karnopp, Computer simulation of stick-slip friction in mechanical
	// dynamic systems, J. Dynamic Systems, Measurement and Control 107, 1985, with the moments of sticking and breaking away found, no band of speeds.
	static, sliding float64
	// A pair of stops, which a coordinate meets at plus and minus the width without a bounce.
	at    int
	width float64
}

func (j *joint) stops() bool { return j.width > 0 }

// mechanism is a machine with joints. A mode of a friction is the direction in which it slides, or 0: it sticks. That of stops is the side on which the
// coordinate lies, or 0: it is free between them.
type mechanism struct {
	*drivetrain
	joints []joint
	n      int // coordinates
	first  int // mode
}

func newMechanism(g *drivetrain, joints []joint) *mechanism {
	return &mechanism{g, joints, g.coordinates(), len(g.start(nil))}
}

func (m *mechanism) Modes() int { return len(m.joints) }

// Start leaves the frictions stuck that do not move.
func (m *mechanism) Start(of map[string]float64) []float64 {
	x := append(m.start(of), make([]float64, len(m.joints))...)
	for i := range m.joints {
		if j := &m.joints[i]; !j.stops() {
			x[m.first+i] = sign(m.speed(j, x))
		}
	}
	return x
}

func (m *mechanism) speed(j *joint, x []float64) float64 {
	sum := 0.0
	for i, v := range x[m.n : 2*m.n] {
		sum += j.along[i] * v
	}
	return sum
}

// active tells whether a joint takes a direction of motion away.
func (m *mechanism) active(i int, x []float64) bool {
	return m.joints[i].stops() == (x[m.first+i] != 0)
}

// accelerations are those at x, and the forces with which the active joints hold, against their direction.
func (m *mechanism) accelerations(x, u []float64) (acceleration, hold vector) {
	p := m.push(x, u)
	var on [mostCoordinates]*vector
	var at [mostCoordinates]int
	count := 0
	for i := range m.joints {
		j := &m.joints[i]
		switch mode := x[m.first+i]; {
		case m.active(i, x):
			on[count], at[count] = &j.along, i
			count++
		case !j.stops():
			for c := range m.n {
				p.force[c] -= mode * j.sliding * j.along[c]
			}
		}
	}
	acceleration, multipliers := constrained(&p, m.n, on[:count])
	for k, v := range multipliers[:count] {
		if hold[at[k]] = v; m.joints[at[k]].stops() {
			acceleration[m.joints[at[k]].at] = 0 // without rounding: it stays where it is
		}
	}
	return acceleration, hold
}

// constrained solves mass*a + sum of multipliers*along = force, along*a = 0 for each direction that is taken away. The directions do
// not hang on one another.
func constrained(p *pushed, n int, on []*vector) (a, multipliers vector) {
	const most = 2 * mostCoordinates
	var w [most][most + 1]float64
	size := n + len(on)
	for i := range n {
		copy(w[i][:n], p.mass[i][:n])
		for k, d := range on {
			w[i][n+k], w[n+k][i] = d[i], d[i]
		}
		w[i][size] = p.force[i]
	}
	for c := range size { // elimination with the largest pivot of each column
		best := c
		for r := c + 1; r < size; r++ {
			if math.Abs(w[r][c]) > math.Abs(w[best][c]) {
				best = r
			}
		}
		w[c], w[best] = w[best], w[c]
		for r := c + 1; r < size; r++ {
			if f := w[r][c] / w[c][c]; f != 0 {
				for k := c; k <= size; k++ {
					w[r][k] -= f * w[c][k]
				}
			}
		}
	}
	var y [most]float64
	for r := size - 1; r >= 0; r-- {
		sum := w[r][size]
		for k := r + 1; k < size; k++ {
			sum -= w[r][k] * y[k]
		}
		y[r] = sum / w[r][r]
	}
	copy(a[:], y[:n])
	copy(multipliers[:], y[n:size])
	return a, multipliers
}

func (m *mechanism) Flow(dx, x, u []float64) {
	if m.n == 2 && m.loose(x) { // most runs are of such
		p := m.push(x, u)
		a, b, c, f, g := p.mass[0][0], p.mass[0][1], p.mass[1][1], p.force[0], p.force[1]
		det := a*c - b*b
		dx[0], dx[1], dx[2], dx[3] = x[2], x[3], (c*f-b*g)/det, (a*g-b*f)/det
	} else {
		a, _ := m.accelerations(x, u)
		copy(dx[:m.n], x[m.n:2*m.n])
		copy(dx[m.n:2*m.n], a[:m.n])
	}
	m.flow(dx, x, u)
	clear(dx[m.first:])
}

// loose tells that no joint does anything.
func (m *mechanism) loose(x []float64) bool {
	for i := range m.joints {
		if !m.joints[i].stops() || x[m.first+i] != 0 {
			return false
		}
	}
	return true
}

// Guards: a friction slides on while its speed keeps the direction, and sticks while it holds; a coordinate is free while it is between
// its stops, and lies on one while it is pressed to it.
func (m *mechanism) Guards(g, x, u []float64) {
	var hold vector
	for i := range m.joints {
		if m.active(i, x) {
			_, hold = m.accelerations(x, u)
			break
		}
	}
	for i := range m.joints {
		j, mode := &m.joints[i], x[m.first+i]
		switch {
		case j.stops() && mode == 0:
			g[i] = j.width - math.Abs(x[j.at])
		case j.stops():
			g[i] = mode * hold[i]
		case mode == 0:
			g[i] = j.static - math.Abs(hold[i])
		default:
			g[i] = mode * m.speed(j, x)
		}
	}
}
