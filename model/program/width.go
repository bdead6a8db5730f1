package program

// Holding returns the narrowest signed type that holds every number of [lo, hi].
func Holding(lo, hi int64) Type {
	for _, t := range []Type{I8, I16, I32} {
		if a, b := t.Range(); a <= lo && hi <= b {
			return t
		}
	}
	return I64
}

// Widest returns the wider of two signed types; a boolean or unsigned type counts as the signed type that holds it.
func Widest(a, b Type) Type {
	signed := func(t Type) Type {
		if t.Signed() {
			return t
		}
		return Holding(t.Range())
	}
	a, b = signed(a), signed(b)
	if a.Bits() >= b.Bits() {
		return a
	}
	return b
}

// Width returns the type that the arithmetic of an integer operation is done in: wide enough for
// its arguments, its result, its constant and, for Round, the sum before the shift. Every number that
// occurs in it is inside the certified ranges, so nothing overflows there.
func (p *Fixed) Width(id ID) Type {
	op := &p.Ops[id]
	w := Widest(op.Type, op.Type)
	if between := op.Kind.Of().between; between != nil {
		w = Widest(w, Holding(between(p, op)))
	}
	for _, a := range op.Args {
		if op.Kind == Select && a == op.Args[0] {
			continue
		}
		w = Widest(w, p.Ops[a].Type)
	}
	return w
}
