package target

import (
	"testing"

	"gainwright/model/program"
	"gainwright/model/trial"
)

// BenchmarkParties is one tick of the integer machine alone and of the emitted C, streaming included.
func BenchmarkParties(b *testing.B) {
	for _, name := range []string{"cart_log", "heading", "incubator"} {
		u := controllerNamed(b, name)
		b.Run(name, func(b *testing.B) {
			h := host(b, u, Options{})
			const ticks = 1 << 18
			layout := trial.NewLayout(u.Integer)
			records := make([]int64, ticks*layout.In)
			for i := range records {
				if at := i % layout.In; at < len(u.Integer.Inputs) {
					records[i] = int64(i*7919%200) - 100
					if u.Integer.Inputs[at].IsSwitch {
						records[i] &= 1
					}
				}
			}
			var coefs []int64
			for _, k := range u.Integer.Coefs {
				coefs = append(coefs, k.Setter.Apply(k.Setter.XStart))
			}
			m := program.NewFixedMachine(u.Integer)
			var inC float64
			n := 0
			for b.Loop() {
				for t := range ticks {
					m.Tick(records[t*layout.In:], coefs)
				}
				b.StopTimer()
				cost, err := runOnce(b, h, records)
				if err != nil {
					b.Fatal(err)
				}
				inC += cost.CPU.Seconds()
				n++
				b.StartTimer()
			}
			model := float64(n) * ticks / b.Elapsed().Seconds()
			compiled := float64(n) * ticks / inC
			b.ReportMetric(model, "model-ticks/s")
			b.ReportMetric(compiled, "C-ticks/s")
			b.ReportMetric(compiled/model, "C/model")
		})
	}
}

func runOnce(b *testing.B, h *Host, records []int64) (trial.Cost, error) {
	in, out := make(chan []int64, 1), make(chan []int64, 4)
	in <- records
	close(in)
	go func() {
		for range out {
		}
	}()
	defer close(out)
	return h.Run(b.Context(), in, out)
}
