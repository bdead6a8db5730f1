package trial

// sceneTicks is the length of a directed scene.
const sceneTicks = 400

// resting has every input near zero, long enough for a mean at rest, with the switches going on half-way.
// The first run rests at zero itself.
func (g *generator) resting(offset int64) int {
	g.each(func(_ int, l *lane) {
		l.a = l.span.limit(0)
		if g.restart > 0 {
			l.shape, l.a, l.b = noise, l.span.limit(g.rng.Int64N(2*offset+1)-offset), g.rng.Int64N(offset/8)
		}
	})
	for i, in := range g.p.Inputs {
		if in.IsSwitch {
			g.lanes[i] = lane{shape: late, a: 0, b: 1, period: int64(g.rest/2 + 1), span: span{0, 1}}
		}
	}
	return g.rest
}

// directed plays, over and over: rest; each input alone in steps, in ramps and from end to end at each
// tick, beside others that stay where they are put; all corners of the declared ranges; sines, slow and
// fast, large and small; zero.
func directed(g *generator) int {
	analog := 0
	g.each(func(n int, _ *lane) { analog = n + 1 })
	if g.scenes == 0 {
		return g.resting(100)
	}
	g.switches(sceneTicks)
	scene := (g.scenes - 1) % (3*analog + 5)
	var alone shape
	switch {
	case scene < 3*analog:
		alone = []shape{step, ramp, step}[scene%3]
		g.each(func(n int, l *lane) {
			l.a = g.level(l.span)
			if n != scene/3 {
				return
			}
			l.shape, l.a, l.b, l.period = alone, l.span.lo, l.span.hi, sceneTicks/4
			if scene%3 == 2 {
				l.period = 2
			}
			if g.rng.IntN(2) == 0 { // around a smaller part
				l.a, l.b = g.level(l.span), g.level(l.span)
			}
		})
		return sceneTicks
	case scene == 3*analog: // corners
		g.each(func(n int, l *lane) {
			l.shape, l.a, l.b, l.period = step, l.span.lo, l.span.hi, int64(8)<<min(n, 8)
		})
		return max(sceneTicks, 8<<min(analog, 8))
	case scene == 3*analog+1: // slow and large
		g.each(func(n int, l *lane) {
			l.shape, l.a, l.b, l.period, l.phase = sine, l.span.lo, l.span.hi, int64(3*sceneTicks/(n+1)+7*n+1), int64(37*n)
		})
		return 3 * sceneTicks
	case scene == 3*analog+2: // small, around a level
		g.each(func(n int, l *lane) {
			mid, part := g.level(l.span), l.span.width()/(4+g.rng.Int64N(60))
			l.shape, l.a, l.b, l.period = sine, l.span.limit(mid-part), l.span.limit(mid+part), 20+g.rng.Int64N(sceneTicks)
		})
		return 2 * sceneTicks
	case scene == 3*analog+3: // zero
		g.each(func(_ int, l *lane) { l.a = l.span.limit(0) })
		return sceneTicks
	}
	return min(g.resting(100), sceneTicks)
}

// level is somewhere to stay: zero, an end, half-way, or anywhere small.
func (g *generator) level(s span) int64 {
	switch g.rng.IntN(6) {
	case 0:
		return s.lo
	case 1:
		return s.hi
	case 2:
		return s.limit(s.hi / 2)
	case 3:
		return s.limit(s.lo / 2)
	case 4:
		return s.limit(anyMagnitude(g.rng))
	}
	return s.limit(0)
}

// random gives each input a course of its own: anything, walks slow and fast, sines, levels.
func random(g *generator) int {
	if g.scenes == 0 && g.restart%2 == 1 {
		return g.resting(200)
	}
	ticks := 1 + g.rng.IntN(3*sceneTicks)
	g.switches(ticks)
	g.each(func(_ int, l *lane) {
		switch g.rng.IntN(6) {
		case 0:
			l.shape = anywhere
		case 1:
			l.shape = magnitude
		case 2:
			l.a = g.level(l.span)
		case 3:
			l.shape, l.a, l.b, l.period = sine, g.level(l.span), g.level(l.span), 2+g.rng.Int64N(3*sceneTicks)
		default:
			l.shape, l.b = walk, 1+l.span.width()>>(3+g.rng.IntN(12))
		}
	})
	return ticks
}

// raw takes the whole register: its ends, in turn and at random, anything, walks, and levels held.
func raw(g *generator) int {
	if g.scenes == 0 && g.restart%2 == 1 {
		return g.resting(2000)
	}
	ticks := 1 + g.rng.IntN(2*sceneTicks)
	g.switches(ticks)
	g.each(func(_ int, l *lane) {
		l.a, l.b = l.span.lo, l.span.hi
		switch g.rng.IntN(8) {
		case 0:
			l.shape, l.period, l.phase = step, 2, g.rng.Int64N(2)
		case 1:
			l.shape = ends
		case 2:
			l.shape, l.period = flips, 1+g.rng.Int64N(200)
		case 3:
			l.a = g.level(l.span)
		case 4:
			l.shape = magnitude
		case 5:
			l.shape, l.b = walk, 1+l.span.width()>>(1+g.rng.IntN(14))
		default:
			l.shape = anywhere
		}
	})
	return ticks
}
