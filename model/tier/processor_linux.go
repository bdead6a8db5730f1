package tier

import (
	"syscall"
	"time"
)

// Processor is what this thread has used so far: other work on a busy machine does not count.
func Processor() time.Duration {
	const thread = 1 // RUSAGE_THREAD
	var used syscall.Rusage
	if err := syscall.Getrusage(thread, &used); err != nil {
		panic("tier: " + err.Error())
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
