package witness

import (
	"gainwright/model/affine"
	"gainwright/model/cert"
	"gainwright/model/program"
)

// response is how one rounding of a section shows in the difference of a signal: taps[k] is what a residue of one
// count of the rounded value adds k ticks later, in units.
type response struct {
	round program.ID
	taps  []float64
}

// responses follows each rounding of a section to a signal, n ticks long, by the forms of its differences.
func (s *search) responses(d *cert.Differences, section, signal, n int) []response {
	span := s.integer.Spans()[section]
	readers := s.integer.View().Readers()
	var states []int
	index := map[int]int{} // symbol to position
	for m, st := range s.integer.States {
		if st.Section == section && !st.Bool {
			index[int(readers[m])] = len(states)
			states = append(states, m)
		}
	}
	for i := span.First; i < span.End; i++ { // the start of a filter chooses between input and state
		if op := s.integer.Ops[i]; op.Kind == program.Select {
			for _, a := range op.Args[1:] {
				if at, ok := index[int(a)]; ok && s.integer.Ops[a].Kind == program.State {
					index[i] = at
				}
			}
		}
	}
	split := func(f affine.Form) (x []float64, e map[int]float64) {
		x, e = make([]float64, len(states)), map[int]float64{}
		for _, t := range f.Terms {
			k, _ := t.K.Float64()
			if at, ok := index[t.Symbol]; ok {
				x[at] += k
			} else if t.Symbol < 0 {
				e[t.Symbol] = k
			}
		}
		return x, e
	}
	a, b := make([][]float64, len(states)), make([]map[int]float64, len(states))
	for i, m := range states {
		next, _ := d.Form(s.integer.States[m].Next, section)
		a[i], b[i] = split(next)
	}
	of, _ := d.Form(s.integer.Sections[section].Signals[signal].Value, section)
	c, direct := split(of)
	var out []response
	for i := span.First; i < span.End; i++ {
		if s.integer.Ops[i].Kind != program.Round {
			continue
		}
		sym := cert.Residue(program.ID(i))
		lsb, _ := s.integer.Ops[i].LSB.Float64()
		r := response{round: program.ID(i), taps: make([]float64, n)}
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
			r.taps[k] = y * lsb
			any = any || y != 0
			x = next
		}
		if any {
			out = append(out, r)
		}
	}
	return out
}
