//go:build !linux

package tier

import "time"

var began = time.Now()

// Processor is the time that has passed: nothing better is known here.
func Processor() time.Duration { return time.Since(began) }
