package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/species"
)

// complete gives every command its shell completion, by the words of its usage and the names of its flags: a command that is added gets
// it without a line of its own.
func (a *app) complete(root *cobra.Command) {
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.Use = "completion SHELL"
			c.Args = func(_ *cobra.Command, args []string) error {
				if len(args) > 0 { // a shell that is known is a command of its own
					return usage("there is no completion for %q; write bash, zsh, fish or powershell", args[0])
				}
				return nil
			}
			c.RunE = func(c *cobra.Command, _ []string) error { return c.Help() }
			c.Short = "Shell completion for bash, zsh, fish and PowerShell"
			c.Long = "completion SHELL writes the script that lets a shell complete commands, flags, job books, models and help topics. Its own help says where to put it."
			c.Example = "  source <(stavewright completion bash)\n  stavewright completion fish | source"
			continue
		}
		if c.ValidArgsFunction == nil {
			c.ValidArgsFunction = completeArgument
		}
		for name, words := range map[string]cobra.CompletionFunc{
			"model": completeModel, "by": fixed(criteria()...), "objectives": fixed("mass,ei", "mass,ei,cost"), "format": fixed("mps", "lp"),
			"layout": completeFiles("json"), "time-limit": fixed(), "within": fixed(), "factors": fixed(), "min-ei": fixed(), "profile-factor": fixed(),
			"moisture": fixed(), "modulus-raise": fixed(), "out": completeOut,
		} {
			if c.Flags().Lookup(name) == nil {
				continue
			}
			if err := c.RegisterFlagCompletionFunc(name, words); err != nil {
				panic(err) // a flag that has one already
			}
		}
	}
}

// completeArgument offers job books where the usage names a JOB, and folders where it names a DIR.
func completeArgument(c *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	switch {
	case len(args) > 0:
	case strings.Contains(c.Use, "JOB"):
		return []cobra.Completion{"xlsx"}, cobra.ShellCompDirectiveFilterFileExt
	case strings.Contains(c.Use, "DIR"):
		return nil, cobra.ShellCompDirectiveFilterDirs
	}
	return nil, cobra.ShellCompDirectiveNoFileComp
}

func completeFiles(ext string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return []cobra.Completion{ext}, cobra.ShellCompDirectiveFilterFileExt
	}
}

// completeOut offers folders, or files where the command writes just one.
func completeOut(c *cobra.Command, _ []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if c.Name() == "export" {
		return nil, cobra.ShellCompDirectiveDefault
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

func fixed(words ...string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}

func criteria() []string {
	var out []string
	for _, k := range species.Criteria() {
		out = append(out, string(k)+"\t"+k.Meaning())
	}
	return out
}

// completeModel offers the models of the job book on the line, or of the one book in this folder. A faulty book still has its
// models; names that no shell can be handed on one line are left out.
func completeModel(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	path := ""
	if len(args) > 0 {
		path = args[0]
	} else if books, _ := filepath.Glob("*.xlsx"); len(books) == 1 {
		path = books[0]
	} else if _, err := os.Stat("job.xlsx"); err == nil {
		path = "job.xlsx"
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	job, _ := book.Read(bytes.NewReader(data), filepath.Base(path))
	var names []cobra.Completion
	for _, m := range job.Models {
		if !strings.ContainsFunc(m.Name, unicode.IsControl) {
			names = append(names, m.Name)
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}
