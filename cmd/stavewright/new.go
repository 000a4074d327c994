package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
)

func (a *app) newCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "new DIR",
		Short: "Write a starter job: a filled job book and sample price sheets",
		Long: `new writes a starter job into DIR: a job book that works as it stands, and the price sheets it names. Everything in it
is invented. Change it into your own, sheet by sheet; the book's first sheet says how.

new never writes over a file.`,
		Example: "  stavewright new winter\n  stavewright front winter/job.xlsx --model \"Allround 157\" --out winter/results",
		Args:    arguments(1, 1, "folder"),
		RunE: func(c *cobra.Command, args []string) error {
			dir := args[0]
			if strings.TrimSpace(dir) == "" {
				return usage("the folder's name is empty: write one, such as winter")
			}
			files, err := book.Starter()
			if err != nil {
				return err
			}
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return usage("the folder %s cannot be made: %w; name another", dir, pathless(err))
			}
			for _, f := range files {
				path := filepath.Join(dir, f.Name)
				if _, err := os.Lstat(path); err == nil {
					return usage("%s is there already; new writes over nothing: name another folder, or move it away", path)
				}
			}
			for _, f := range files {
				path := filepath.Join(dir, f.Name)
				if err := writeWhole(path, f.Data); err != nil {
					return unwritten(path, err)
				}
				fmt.Fprintln(a.stdout, report.Plain(path))
			}
			return nil
		},
	}
}
