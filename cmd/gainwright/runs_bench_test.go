package main

import (
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"
)

// BenchmarkRuns compares many runs of the cart on all cores with the same runs on one, in turn: `simulate --runs` is meant to use
// every core.
func BenchmarkRuns(b *testing.B) {
	cores := runtime.NumCPU()
	if cores < 2 {
		b.Skip("one core only: there is nothing to compare")
	}
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	collectSeldom()
	took := func(cores int) time.Duration {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		start := time.Now()
		if code := Do([]string{"simulate", "../../templates/starters/cart.yaml", "--runs", "24"}, strings.NewReader(""), io.Discard, os.Stderr); code != 0 {
			b.Fatalf("simulate ended with %d", code)
		}
		return time.Since(start)
	}
	var one, all time.Duration
	for b.Loop() {
		one += took(1)
		all += took(cores)
	}
	b.ReportMetric(one.Seconds()/all.Seconds(), "times")
	b.ReportMetric(float64(cores), "cores")
}
