package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"benchproof/cmd/benchproof/preview"
)

func newPreview() *cobra.Command {
	var port int
	var language speaking
	cmd := &cobra.Command{
		Use:   "preview [DIR]",
		Short: "Show the documents in a browser and renew them as you write",
		Long: `Preview serves the pages of the library in DIR (the current folder where none is
named) at an address of this machine, which it prints: open it in a browser. When a
source is saved the page is renewed at the step you look at. While the library is
wrong, the messages stand over the last pages without an error, with a draft of the
new state beside them.

With --language they are shown in another language, of a translation of the library,
which is renewed when that is saved; messages stay in English.

Only this machine can reach the pages. Ctrl-C ends the preview.`,
		Example: "  benchproof preview\n  benchproof preview my-library --port 8080",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if port < 0 || port > 65535 {
				return fmt.Errorf("--port %d: expected 0 to 65535", port)
			}
			if err := language.valid(); err != nil {
				return err
			}
			dir := folder(args)
			server, err := preview.New(cmd.Context(), preview.Options{Folder: dir, Port: port, Language: language.language, Log: cmd.ErrOrStderr()})
			if err != nil {
				return err
			}
			if _, err := fmt.Fprintf(cmd.OutOrStdout(), "The pages of %s are at %s (Ctrl-C ends the preview).\n", dir, server.Address()); err != nil {
				return err
			}
			return server.Serve(cmd.Context())
		},
	}
	language.flag(cmd.Flags())
	cmd.Flags().IntVar(&port, "port", 0, "serve at this `port`; 0 takes one that is free")
	return cmd
}
