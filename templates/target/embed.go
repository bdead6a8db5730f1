// Package target holds the C programs that run a controller on simulated parts, embedded in the binary.
package target

import "embed"

// Files holds them: *.tmpl for text/template, *.txt as they are.
//
//go:embed *.tmpl *.txt
var Files embed.FS
