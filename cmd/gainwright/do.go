package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gainwright/model"
	"gainwright/model/spec"
	"gainwright/model/steps"
)

// Exit codes.
const (
	good     = 0
	findings = 1 // the spec, the files or a comparison are not as they should be
	misuse   = 2 // the command line is wrong
)

// failure ends a command with an exit code. An empty text means that all has been said.
type failure struct {
	code int
	text string
}

func (f failure) Error() string { return f.text }

func wrong(format string, args ...any) error { return failure{misuse, fmt.Sprintf(format, args...)} }

// Do runs one command line and returns its exit code.
func Do(args []string, in io.Reader, out, err io.Writer) int {
	root := newRoot()
	root.SetArgs(append([]string{}, args...))
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(err)
	failed := root.Execute()
	if failed == nil {
		return good
	}
	var f failure
	if !errors.As(failed, &f) {
		f = failure{misuse, failed.Error()}
	}
	if f.text != "" {
		fmt.Fprintf(err, "gainwright: %s\n", f.text)
	}
	return f.code
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "gainwright",
		Short: "Integer code for a small microcontroller from the gains of a tuned controller, with proofs",
		Long: `Gainwright turns a tuned controller, written down as a YAML spec, into integer C code
for a small microcontroller, and proves what that code can do.

How a spec is written:
` + strings.TrimSuffix(topicList(), "\n"),
		Example:           "  gainwright try --out cart",
		Version:           model.Version,
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		Args:              cobra.ArbitraryArgs,
		RunE:              func(cmd *cobra.Command, args []string) error { return unknownCommand(cmd, args) },
	}
	root.SetVersionTemplate("gainwright {{.Version}}\n")
	root.AddCommand(newTry(), newInit(), newCheck(), newGenerate(), newVerify(), newSimulate(), newReport())
	root.SetHelpCommand(newHelp())
	cobra.EnableCommandSorting = false // in the order of use
	root.SetFlagErrorFunc(flagError)
	return root
}

// newHelp is `gainwright help COMMAND`, which knows a misspelt command when it sees one.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND or TOPIC]",
		Short:   "Say how a command is used, or how a spec is written",
		Long:    "Help says how a command is used. It also knows how a spec is written:\n\n" + topicList(),
		Example: "  gainwright help check\n  gainwright help pid",
		RunE: func(cmd *cobra.Command, args []string) error {
			found, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				if len(args) == 1 && showTopic(newPaper(cmd.OutOrStdout()), strings.ToLower(args[0])) {
					return nil
				}
				if len(args) == 1 {
					if lacks, instead, ok := steps.NoKind(args[0]); ok {
						return wrong("no kind of step %s yet: write %s", lacks, instead)
					}
				}
				return unknownCommand(cmd.Root(), args, topicNames()...)
			}
			found.InitDefaultHelpFlag()
			found.InitDefaultVersionFlag()
			return found.Help()
		},
	}
}

// unknownCommand names the command, or the other word, that was meant, or shows the help where none was given.
func unknownCommand(root *cobra.Command, args []string, also ...string) error {
	if len(args) == 0 {
		root.SetOut(root.ErrOrStderr())
		_ = root.Help() // its only error is that of the writer
		return failure{code: misuse}
	}
	var names []string
	for _, c := range root.Commands() {
		names = append(names, c.Name())
	}
	what := "no command"
	if len(also) > 0 {
		what = "no command, topic or kind"
	} else if slices.Contains(topicNames(), args[0]) {
		return wrong("%q is no command: write gainwright help %s", args[0], args[0])
	}
	return wrong("%q is %s%s", args[0], what, meant(args[0], append(names, also...), "the commands are "+strings.Join(names, ", ")))
}

// flagError names the flag that was meant.
func flagError(cmd *cobra.Command, err error) error {
	var value *pflag.InvalidValueError
	if errors.As(err, &value) {
		takes := map[string]string{"int": "a whole number", "uint64": "a whole number, not negative", "bool": "true or false"}[value.GetFlag().Value.Type()]
		return wrong("--%s takes %s, not %q", value.GetFlag().Name, takes, value.GetValue())
	}
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) {
		return wrong("%v (see: gainwright help %s)", err, cmd.Name())
	}
	if name, _, _ := strings.Cut(unknown.GetSpecifiedShortnames(), "="); len(name) > 1 && cmd.Flags().Lookup(name) != nil { // -ticks is a row of short flags for the library
		return wrong("a flag has two dashes: write --%s", name)
	}
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	name := "--" + unknown.GetSpecifiedName()
	its := "its flags are " + strings.Join(names, ", ")
	for _, other := range cmd.Root().Commands() {
		if other.Flags().Lookup(unknown.GetSpecifiedName()) != nil { // it is spelt well, and belongs elsewhere
			return wrong("%s has no flag %s, which is one of %s: %s", cmd.Name(), name, other.Name(), its)
		}
	}
	return wrong("%s has no flag %s%s", cmd.Name(), name, meant(name, names, its))
}

// meant says which of the good words a misspelt one stands for, or else falls back.
func meant(word string, good []string, fallback string) string {
	if near := spec.Nearest(word, good); near != "" {
		return ": write " + near
	}
	return ": " + fallback
}

// one demands exactly one argument.
func one(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return wrong("%s needs %s, as in:\n%s", cmd.Name(), what, cmd.Example)
		case len(args) > 1:
			if flag := withoutDashes(cmd, args[1:]); flag != "" {
				return wrong("%s takes %s and flags: write --%s", cmd.Name(), what, flag)
			}
			return wrong("%s takes %s and nothing more, not: %s", cmd.Name(), what, strings.Join(args, " "))
		}
		return nil
	}
}

// withoutDashes is the flag of a command, with its value, that stands among its arguments without its dashes; else nothing.
func withoutDashes(cmd *cobra.Command, args []string) string {
	name, value, given := strings.Cut(args[0], "=")
	f := cmd.Flags().Lookup(strings.TrimLeft(name, "-"))
	switch {
	case f == nil:
		return ""
	case f.Value.Type() == "bool":
		return f.Name
	case given:
		return f.Name + " " + value
	case len(args) > 1:
		return f.Name + " " + args[1]
	}
	return f.Name + " and its value"
}

// none demands that there is no argument.
func none(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	if flag := withoutDashes(cmd, args); flag != "" {
		return wrong("%s takes only flags: write --%s", cmd.Name(), flag)
	}
	return wrong("%s takes only flags, not %q, as in:\n%s", cmd.Name(), args[0], cmd.Example)
}
