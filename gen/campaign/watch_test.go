package campaign

import (
	"gainwright/model/tier"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"time"
)

// watch runs f and returns the processor time of its thread and the most memory that the heap's objects, garbage
// included, took beyond what they took before.
func watch(f func()) (took time.Duration, memory uint64) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	defer debug.SetGCPercent(debug.SetGCPercent(100)) // the usual, whatever GOGC says: garbage counts
	runtime.GC()
	before := heap()
	stop, most := make(chan bool), make(chan uint64)
	go func() {
		top := before
		for {
			top = max(top, heap())
			select {
			case <-stop:
				most <- top
				return
			case <-time.After(time.Millisecond):
			}
		}
	}()
	start := tier.Processor()
	defer func() { // f may panic
		took = tier.Processor() - start
		stop <- true
		memory = <-most - before
	}()
	f()
	return
}

func heap() uint64 {
	s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}
