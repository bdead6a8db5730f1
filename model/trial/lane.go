package trial

import (
	"math"
	"math/rand/v2"
)

// lane is one input's course through a scene.
type lane struct {
	shape  shape
	a, b   int64 // ends or, for a hold, the value
	period int64 // ticks
	phase  int64
	now    int64
	span   span
}

// shape is how an input moves.
type shape uint8

const (
	hold      shape = iota // at a
	step                   // a and b in turn, half a period each
	ramp                   // from a to b and back
	sine                   // between a and b
	pulse                  // b for one tick in a period, else a
	late                   // a, from tick `period` on b
	anywhere               // any count, all alike
	magnitude              // any count, all magnitudes alike
	ends                   // a, b or 0 at random
	walk                   // from where it is by at most b a tick
	flips                  // a or b, changing at random once in a period
	noise                  // a, and up to b either way
)

// at is the value at tick t of a scene.
func (l *lane) at(t int64, rng *rand.Rand) int64 {
	switch l.shape {
	case step:
		if (t+l.phase)%l.period*2 < l.period {
			return l.a
		}
		return l.b
	case ramp:
		n := (t + l.phase) % l.period * 2
		if n > l.period {
			n = 2*l.period - n
		}
		return l.a + int64(float64(l.b-l.a)*float64(n)/float64(l.period))
	case sine:
		mid := (l.a + l.b) / 2
		return l.span.limit(mid + (l.b-mid)*int64(sines[(t+l.phase)%l.period*int64(len(sines))/l.period])>>30) // mid may be half a count off
	case pulse:
		if (t+l.phase)%l.period == 0 {
			return l.b
		}
		return l.a
	case late:
		if t < l.period {
			return l.a
		}
		return l.b
	case anywhere:
		return l.span.lo + rng.Int64N(l.span.width()+1)
	case magnitude:
		return l.span.limit(anyMagnitude(rng))
	case ends:
		switch rng.IntN(5) {
		case 0:
			return l.span.limit(0)
		case 1, 2:
			return l.a
		}
		return l.b
	case walk:
		l.now = l.span.limit(l.now + rng.Int64N(2*l.b+1) - l.b)
		return l.now
	case noise:
		return l.span.limit(l.a + rng.Int64N(2*l.b+1) - l.b)
	case flips:
		if rng.Int64N(l.period) == 0 {
			l.a, l.b = l.b, l.a
		}
		return l.a
	}
	return l.a
}

// anyMagnitude is a number of up to 32 bits and either sign, small ones as often as large ones.
func anyMagnitude(rng *rand.Rand) int64 {
	v := rng.Int64N(1 << (1 + rng.IntN(32)))
	if rng.IntN(2) == 0 {
		return -v
	}
	return v
}

// sines is one period, 2^30 high.
var sines = func() (out [4096]int32) {
	for i := range out {
		out[i] = int32(math.Round((1 << 30) * math.Sin(2*math.Pi*float64(i)/float64(len(out)))))
	}
	return out
}()
