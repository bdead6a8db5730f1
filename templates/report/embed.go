// Package report holds the page that a report is printed on, embedded in the binary.
package report

import "embed"

// Files holds the page and its style sheet: *.tmpl, for html/template.
//
//go:embed *.tmpl
var Files embed.FS
