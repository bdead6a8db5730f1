package trial

import (
	"testing"

	"gainwright/model/program"
)

// BenchmarkInteger is the integer machine alone: ns/op is a tick.
func BenchmarkInteger(b *testing.B) {
	for _, name := range []string{"cart_log", "heading", "incubator"} {
		b.Run(name, func(b *testing.B) {
			u := unit(b, name)
			t := newTrial(u, Options{}, 1)
			t.restart()
			batch := newBatch(t)
			g := newGenerator(u, kinds[1], 1, 0, 1<<20)
			for n := range batchTicks {
				g.next(batch.record(n))
			}
			m := program.NewFixedMachine(u.Integer)
			n := 0
			for b.Loop() {
				m.Tick(batch.record(n%batchTicks), t.coefs)
				n++
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "ticks/s")
		})
	}
}

// BenchmarkGenerator is one tick of inputs.
func BenchmarkGenerator(b *testing.B) {
	u := unit(b, "cart_log")
	for _, kind := range kinds {
		b.Run(kind.name, func(b *testing.B) {
			g := newGenerator(u, kind, 1, 1, 1<<20)
			record := make([]int64, NewLayout(u.Integer).In)
			for b.Loop() {
				g.next(record)
			}
		})
	}
}
