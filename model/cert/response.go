package cert

import "gainwright/model/program"

// Response is how one rounding of a section shows in the difference of a signal: Taps[k] is what a residue of one
// count of the rounded value adds k ticks later, in units.
type Response struct {
	Round program.ID
	Taps  []float64
}

// Responses follows each rounding of a section to a signal, n ticks long, by the forms last found. It guides the
// search for witnesses and proves nothing.
func (d *Differences) Responses(section, signal, n int) []Response {
	var states []int
	index := map[int]int{} // symbol to position
	for m, s := range d.p.States {
		if s.Section == section && !s.Bool {
			index[int(d.reader[m])] = len(states)
			states = append(states, m)
		}
	}
	for i := d.spans[section].First; i < d.spans[section].End; i++ { // the start of a filter chooses between input and state
		if op := d.p.Ops[i]; op.Kind == program.Select {
			for _, a := range op.Args[1:] {
				if at, ok := index[int(a)]; ok && d.p.Ops[a].Kind == program.State {
					index[i] = at
				}
			}
		}
	}
	split := func(f form) (x []float64, e map[int]float64) {
		x, e = make([]float64, len(states)), map[int]float64{}
		for _, t := range f.terms {
			k, _ := t.k.Float64()
			if at, ok := index[t.sym]; ok {
				x[at] += k
			} else if t.sym < 0 {
				e[t.sym] = k
			}
		}
		return x, e
	}
	a, b := make([][]float64, len(states)), make([]map[int]float64, len(states))
	for i, m := range states {
		a[i], b[i] = split(d.seen(d.p.States[m].Next, section).form)
	}
	c, direct := split(d.gaps[d.p.Sections[section].Signals[signal].Value].form)
	var out []Response
	for i := d.spans[section].First; i < d.spans[section].End; i++ {
		if d.p.Ops[i].Kind != program.Round {
			continue
		}
		sym := residue(program.ID(i))
		lsb, _ := d.p.Ops[i].LSB.Float64()
		r := Response{Round: program.ID(i), Taps: make([]float64, n)}
		x := make([]float64, len(states))
		any := false
		for k := range n {
			y := 0.0
			for j := range x {
				y += c[j] * x[j]
			}
			next := make([]float64, len(states))
			for j := range next {
				for l := range x {
					next[j] += a[j][l] * x[l]
				}
			}
			if k == 0 {
				y += direct[sym]
				for j := range next {
					next[j] += b[j][sym]
				}
			}
			r.Taps[k] = y * lsb
			any = any || y != 0
			x = next
		}
		if any {
			out = append(out, r)
		}
	}
	return out
}
