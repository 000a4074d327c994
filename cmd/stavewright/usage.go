package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// arguments wants at least and at most so many words behind a command, which its usage calls what.
func arguments(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return fmt.Errorf("%s needs a %s: write %s", c.CommandPath(), what, c.UseLine())
		case len(args) > most:
			quoted := make([]string, len(args))
			for i, a := range args {
				quoted[i] = fmt.Sprintf("%q", a)
			}
			return fmt.Errorf("%s takes one %s, but here are %s: a name with spaces wants quotes around it", c.CommandPath(), what, strings.Join(quoted, " and "))
		}
		return nil
	}
}

// wanted is what to write behind a flag, by the kind of its value.
var wanted = map[string]string{
	"float64":  "a number, with a decimal point",
	"duration": "a duration such as 90s or 5m; 0 for none",
	"bool":     "the flag alone",
}

// flagError says in the words of this program what cobra finds wrong with a flag.
func flagError(_ *cobra.Command, err error) error {
	var value *pflag.InvalidValueError
	if errors.As(err, &value) {
		if w := wanted[value.GetFlag().Value.Type()]; w != "" {
			return fmt.Errorf("--%s %s: write %s", value.GetFlag().Name, value.GetValue(), w)
		}
	}
	return err
}

// checkFlags looks at what every command wants of its flags.
func (a *app) checkFlags(c *cobra.Command) error {
	if a.timeLimit < 0 {
		return usage("--time-limit %v: write %s", a.timeLimit, wanted["duration"])
	}
	var err error
	c.Flags().Visit(func(f *pflag.Flag) {
		if err == nil && f.Value.Type() == "string" && strings.TrimSpace(f.Value.String()) == "" {
			err = usage("--%s is empty: write a %s, or leave the flag out", f.Name, holder(f))
		}
	})
	return err
}
