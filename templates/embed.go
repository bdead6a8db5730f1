// Package templates holds the fixed text of what the tool writes, embedded in the binary.
package templates

import "embed"

// C holds the frame of the emitted C: c_*.tmpl, for text/template.
//
//go:embed c_*.tmpl
var C embed.FS

// Annotated is a spec that shows every section and key, with a remark on each.
//
//go:embed annotated.yaml
var Annotated string
