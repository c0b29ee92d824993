package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"benchproof/procedures"
)

func newDemo() *cobra.Command {
	o := buildOptions{to: formatNames(), reporting: reporting{format: "text"}}
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Make the documents of the built-in library of an invented waterworks",
		Long: `Demo makes the work instructions of the built-in library: pumps, valves and
motors of an invented waterworks. Every name, number and figure in it is made
up; nothing in it is for work on a real machine.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := o.valid(); err != nil {
				return err
			}
			m := newMemory(procedures.Files, remembering{noCache: true})
			result, err := m.check(cmd.Context(), "the built-in library")
			if err != nil {
				return err
			}
			made, err := build(cmd, result, "procedures", &o, m)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s of the built-in library are in %s.\nOpen %s in a browser.\n",
				count(made.documents, "document"), o.out, filepath.Join(o.out, indexName))
			return err
		},
	}
	cmd.Flags().StringVar(&o.out, "out", filepath.Join("out", "demo"), "write the documents into this `folder`")
	o.paperFlag(cmd.Flags())
	return cmd
}
