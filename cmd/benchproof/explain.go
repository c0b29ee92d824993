package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/dsl/message"
)

func newExplain() *cobra.Command {
	return &cobra.Command{
		Use:   "explain [CODE]",
		Short: "Say what a message means, with a wrong and a right example",
		Long: `Explain prints the page of a code: what it means, why it matters at the bench, a
wrong example and a right one. Both are small complete libraries: copy the right
one into a folder and it passes check. Without a code, all codes are listed.`,
		Example: "  benchproof explain BP404\n  benchproof explain",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			out := cmd.OutOrStdout()
			if len(args) == 0 {
				return listCodes(out)
			}
			entry, ok := message.Find(args[0])
			if !ok {
				return fmt.Errorf("there is no code %s; benchproof explain lists all", args[0])
			}
			_, err := io.WriteString(out, message.Page(entry.Code))
			return err
		},
		ValidArgsFunction: func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
			var out []string
			for _, e := range message.Catalogue() {
				if strings.HasPrefix(string(e.Code), strings.ToUpper(begun)) {
					out = append(out, string(e.Code)+"\t"+e.Title)
				}
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

func listCodes(out io.Writer) error {
	var b strings.Builder
	for _, e := range message.Catalogue() {
		fmt.Fprintf(&b, "%s  %-7s  %s\n", e.Code, e.Severity, e.Title)
	}
	_, err := io.WriteString(out, b.String())
	return err
}
