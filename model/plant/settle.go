package plant

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Settle ends the motion into stops, stops what has come to rest, and lets go what is pulled away.
func (m *mechanism) Settle(x, u []float64) {
	if m.strike(x) {
		m.blow(x, u)
	}
	for i := range m.joints {
		j, mode := &m.joints[i], x[m.first+i]
		if !j.stops() && mode != 0 && mode*m.speed(j, x) <= 0 {
			x[m.first+i] = 0
		}
	}
	m.project(x, u)
	for range 4 * len(m.joints) { // one at a time: what lets go relieves the others
		_, hold := m.accelerations(x, u)
		worst, most := -1, 0.0
		for i := range m.joints {
			j, over := &m.joints[i], 0.0
			switch {
			case !m.active(i, x):
				continue
			case j.stops():
				over = -x[m.first+i] * hold[i]
			default:
				over = math.Abs(hold[i]) - j.static
			}
			if over > most {
				worst, most = i, over
			}
		}
		if worst < 0 {
			return
		}
		if m.joints[worst].stops() {
			x[m.first+worst] = 0
		} else {
			x[m.first+worst] = sign(hold[worst])
		}
	}
}

// strike lays coordinates that have met their stops on them and tells whether any moves into its stop.
func (m *mechanism) strike(x []float64) bool {
	hit := false
	for i := range m.joints {
		j := &m.joints[i]
		if q := x[j.at]; j.stops() && x[m.first+i] == 0 && math.Abs(q) >= j.width && q*x[m.n+j.at] >= 0 {
			x[j.at] = math.Copysign(j.width, q)
			x[m.first+i] = sign(q)
			hit = hit || x[m.n+j.at] != 0
		}
	}
	return hit
}

// slow is the part of the fastest speed below which a blow drives nothing apart: two stops that take turns come to rest after
// blows without number.
const slow = 1e-7

// blow ends the velocities into all stops that are met, by forces without time: those of frictions do not count beside them. A stop that the blow
// would have to pull at lets go.
func (m *mechanism) blow(x, u []float64) {
	v := x[m.n : 2*m.n]
	before := append([]float64(nil), v...)
	fastest := floats.Norm(v, math.Inf(1))
	onlyStops := func(i int) bool { return m.joints[i].stops() }
	keep := make([]bool, len(m.joints))
	for again := true; again; {
		again = false
		copy(v, before)
		impulses := m.stopped(x, u, onlyStops)
		for i := range m.joints {
			side := x[m.first+i]
			if !onlyStops(i) || keep[i] || side*impulses[i] >= 0 {
				continue
			}
			copy(v, before)
			x[m.first+i] = 0
			m.stopped(x, u, onlyStops)
			if keep[i] = math.Abs(v[m.joints[i].at]) < slow*fastest; keep[i] {
				x[m.first+i] = side
			}
			again = true
			break
		}
	}
	for i := range m.joints {
		if j := &m.joints[i]; !j.stops() {
			x[m.first+i] = 0
			if v := m.speed(j, x); math.Abs(v) > 1e-9*fastest {
				x[m.first+i] = sign(v)
			}
		}
	}
}

// project takes rounding out of the velocities in directions that are taken away.
func (m *mechanism) project(x, u []float64) {
	m.stopped(x, u, func(int) bool { return true })
}

// stopped changes the velocities, by impulses along the active joints among those wanted, so that none of these moves. It returns the impulses, against the
// joints' directions.
func (m *mechanism) stopped(x, u []float64, wanted func(i int) bool) (impulses vector) {
	p := m.push(x, u)
	var on [mostCoordinates]*vector
	var at [mostCoordinates]int
	count := 0
	for i := range m.joints {
		if m.active(i, x) && wanted(i) {
			on[count], at[count] = &m.joints[i].along, i
			count++
		}
	}
	if count == 0 {
		return impulses
	}
	v := x[m.n : 2*m.n]
	for r := range m.n { // mass*(after - before) + impulses*along = 0
		p.force[r] = 0
		for c := range m.n {
			p.force[r] += p.mass[r][c] * v[c]
		}
	}
	after, multipliers := constrained(&p, m.n, on[:count])
	copy(v, after[:m.n])
	for k, i := range at[:count] {
		impulses[i] = multipliers[k]
		if m.joints[i].stops() {
			v[m.joints[i].at] = 0
		}
	}
	return impulses
}
