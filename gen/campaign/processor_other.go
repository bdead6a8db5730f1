//go:build !linux

package campaign

import "time"

var began = time.Now()

// processorTime is the time that has passed: nothing better is known here.
func processorTime() time.Duration { return time.Since(began) }
