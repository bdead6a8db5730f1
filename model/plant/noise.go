package plant

import "math/rand/v2"

// Chance is what happens by chance at one tick. Two rigs that are handed the same Chance see the same noise.
type Chance struct {
	Gauss   []float64 // of each sensor, standard normal
	Walked  []float64 // how far the bias of each has walked, in its input's unit
	Dropped []bool
	Late    []bool
	Jitter  float64 // seconds from the nominal time of the next tick
}

// Noise draws the chances of a run from its seed. Each sensor has a stream of its own: a change of
// one leaves the others as they were.
type Noise struct {
	plant  *Plant
	gauss  []*rand.Rand
	losses []*rand.Rand
	walks  []*rand.Rand
	jitter *rand.Rand
	now    Chance
	begun  bool
}

// Stream returns the random numbers number n of a seed.
func Stream(seed, n uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, 0x9E3779B97F4A7C15*(n+1)))
}

// Streams 0 to streamsFirst-1 are left to others, such as the choice of a run's plant. From streamsWalks on a bias walks.
const (
	streamsFirst = 16
	streamsWalks = 1 << 32
)

// NewNoise returns the chances of the run with that seed.
func (p *Plant) NewNoise(seed uint64) *Noise {
	n := len(p.Sensors)
	out := &Noise{plant: p, jitter: Stream(seed, streamsFirst), now: Chance{Gauss: make([]float64, n), Walked: make([]float64, n), Dropped: make([]bool, n), Late: make([]bool, n)}}
	for i := range uint64(n) {
		out.gauss = append(out.gauss, Stream(seed, streamsFirst+1+2*i))
		out.losses = append(out.losses, Stream(seed, streamsFirst+2+2*i))
		out.walks = append(out.walks, Stream(seed, streamsWalks+i))
	}
	return out
}

// Next draws the chances of the next tick. The result is valid until the next call.
func (n *Noise) Next() *Chance {
	for i := range n.plant.Sensors {
		s := &n.plant.Sensors[i]
		if s.Noise > 0 {
			n.now.Gauss[i] = n.gauss[i].NormFloat64()
		}
		if s.BiasWalk > 0 {
			n.now.Walked[i] += s.BiasWalk * n.walks[i].NormFloat64()
		}
		if s.Dropped > 0 {
			n.now.Dropped[i] = n.losses[i].Float64() < s.loss(n.begun, n.now.Dropped[i])
		}
		if s.Late > 0 {
			n.now.Late[i] = n.losses[i].Float64() < s.Late
		}
	}
	n.begun = true
	if n.plant.Jitter > 0 {
		n.now.Jitter = n.plant.Jitter * (2*n.jitter.Float64() - 1)
	}
	return &n.now
}

// loss is the probability that a sample is lost, by whether the one before was: a chain of two states with the mean Dropped and runs of Burst
// ticks. It begins as it goes on: in a loss with that share.
func (s *Sensor) loss(begun, before bool) float64 {
	switch {
	case s.Burst <= 1 || s.Dropped == 1 || !begun:
		return s.Dropped
	case before:
		return 1 - 1/s.Burst
	}
	return s.Dropped / (s.Burst * (1 - s.Dropped))
}
