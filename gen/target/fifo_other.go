//go:build !unix

package target

import (
	"fmt"
	"runtime"
)

// fifo fails: simulated parts in qemu are reached through named pipes, which are a matter of Unix.
func fifo(string) error {
	return fmt.Errorf("%s has none that qemu could use: run this on Linux or macOS", runtime.GOOS)
}
