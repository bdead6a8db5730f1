package loop

// form is a linear combination of states, inputs, residues and what leaves the place where the loop is cut, in this order.
type form []float64

func (f form) with(at int, add float64) form {
	out := append(form(nil), f...)
	out[at] += add
	return out
}

func mix(k float64, a form, l float64, b form) form {
	out := make(form, len(a))
	for i := range out {
		out[i] = k*a[i] + l*b[i]
	}
	return out
}

// is tells whether f is symbol at alone.
func (f form) is(at int) bool {
	for i, v := range f {
		if v != 0 && i != at || i == at && v != 1 {
			return false
		}
	}
	return true
}
