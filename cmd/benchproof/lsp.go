package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"benchproof/cmd/benchproof/editor"
)

func newLSP() *cobra.Command {
	return &cobra.Command{
		Use:   "lsp [DIR]",
		Short: "Help an editor while a library is written (Language Server Protocol)",
		Long: `Lsp answers an editor on standard input and output by the Language Server
Protocol, version 3.17: messages while you type, proposals for what can stand at
the cursor, definitions, uses, renaming, layout, outline and more. You do not
start it yourself: your editor does. How to set up an editor is told in
cmd/benchproof/editor/SETUP.md.

The library is the folder DIR; where none is named, the nearest folder around an
open file in which a source file declares a library. Nothing outside it is read,
and no file is written: changes are offered to the editor.`,
		Args: atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			options := editor.Options{Version: version()}
			if len(args) > 0 {
				dir, err := filepath.Abs(args[0])
				if err != nil {
					return err
				}
				if _, err := openFolder(dir); err != nil {
					return err
				}
				options.Folder = dir
			}
			if _, _, ok := terminal(cmd.OutOrStdout()); ok {
				return fmt.Errorf("lsp speaks to an editor, not to a person: let the editor start it")
			}
			return editor.Serve(cmd.Context(), cmd.InOrStdin(), cmd.OutOrStdout(), options)
		},
	}
}
