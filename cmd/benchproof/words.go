package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/words"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

func newWords() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "words",
		Short: "Take the texts of a library to translators and back",
		Long: `Words works on the translations of a library: PO files of GNU gettext in its folder
translations, one a language, de.po. Every editor for translators reads them.

Texts alone are translated. Tools, values and limits stand in a translation as
names in braces, {torque-wrench} or {time}, and documents print what the sources
say; so a translation cannot name another tool or another value. Where a sentence
needs a thing in another case, {spanner-13|Schlüsseln} says it with these words.`,
		Args: knownWords,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newWordsExport(), newWordsCheck())
	return cmd
}

func knownWords(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("words %s: expected export or check", args[0])
	}
	return nil
}

func newWordsExport() *cobra.Command {
	var language, out string
	cmd := &cobra.Command{
		Use:   "export --language LANGUAGE [DIR]",
		Short: "Write every text of a library into a translation file, keeping what is translated",
		Long: `Export writes translations/LANGUAGE.po in the library in DIR (the current folder
where none is named): every text that documents print, where it stands, and what
its names in braces mean. Where the file is there already, translations stay;
those of texts that have changed are marked fuzzy, with the text as it was, and
those of texts that are gone are kept at the end.

--out names another file; with --out - it goes to standard output.`,
		Example: "  benchproof words export --language de my-library",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := folder(args)
			if !document.Speaks(language) || strings.Contains(language, "-") {
				return fmt.Errorf("--language %s: expected one of %s", language, strings.Join(document.Languages(), ", "))
			}
			result, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			if broken := slices.DeleteFunc(slices.Clone(result.Messages), func(m *message.Message) bool {
				return !m.IsError() || strings.HasPrefix(string(m.Code), "BP03")
			}); len(broken) > 0 {
				// A text that could not be understood would be missing.
				if err := reportText(cmd.ErrOrStderr(), dir, broken); err != nil {
					return err
				}
				return errWrong
			}
			if language == result.Library.Language {
				return fmt.Errorf("--language %s: the sources are in this language", language)
			}
			name := out
			if name == "" {
				if name, err = ownFile(dir, words.Folder+"/"+language+".po"); err != nil {
					return err
				}
			}
			old, messages, err := readWords(name)
			if err != nil {
				return err
			}
			if len(messages) > 0 {
				// What cannot be read would be lost.
				if err := reportText(cmd.ErrOrStderr(), "", messages); err != nil {
					return err
				}
				return errWrong
			}
			f := words.Export(result.Library, language, old)
			if out == "-" {
				_, err = fmt.Fprint(cmd.OutOrStdout(), f)
				return err
			}
			if err := writeWords(name, []byte(f.String())); err != nil {
				return err
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "%s: %s\n", name, tally(f))
			return nil
		},
	}
	cmd.Flags().StringVar(&language, "language", "", "the `language` to translate into")
	cmd.Flags().StringVar(&out, "out", "", "write this `file` instead; - is standard output")
	_ = cmd.MarkFlagRequired("language")
	return cmd
}

// tally counts what a translation file holds.
func tally(f *words.File) string {
	done, stale, gone, all := 0, 0, 0, 0
	for _, e := range f.Entries {
		switch {
		case e.Obsolete:
			gone++
			continue
		case e.Stale():
			stale++
		case !e.Empty():
			done++
		}
		all++
	}
	return fmt.Sprintf("%s, %d translated, %d stale, %d missing, %d no longer used", count(all, "text"), done, stale, all-done-stale, gone)
}

// readWords reads a translation file; none where it is not there.
func readWords(name string) (*words.File, []*message.Message, error) {
	if name == "-" {
		return nil, nil, nil
	}
	text, err := readWhole(name, syntax.MaxSize)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, err
	}
	src, broken := syntax.Load(text, filepath.ToSlash(name))
	f, messages := words.Read(src)
	return f, append(broken, messages...), nil
}

func writeWords(name string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return plainPath(err)
	}
	return writeWhole(name, data)
}

func newWordsCheck() *cobra.Command {
	var r reporting
	cmd := &cobra.Command{
		Use:   "check [DIR]",
		Short: "Say what is missing or stale in the translations, or says something else",
		Long: `Check looks at every file in the library's folder translations: texts that are
stale or of no text of the library, that leave out a tool, a value or a number or
have one too many, plural forms; and of procedures that somebody has begun to
translate, what is missing. Places are lines of the translation file.

benchproof check tells the same among everything else.`,
		Example: "  benchproof words check my-library",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := r.valid(); err != nil {
				return err
			}
			dir := folder(args)
			result, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			messages := slices.DeleteFunc(slices.Clone(result.Messages), func(m *message.Message) bool {
				return !strings.HasPrefix(string(m.Code), "BP03") && !m.IsError()
			})
			if r.format == "text" {
				if err := sayLanguages(cmd, result); err != nil {
					return err
				}
			}
			return r.report(cmd, dir, messages)
		},
	}
	r.flags(cmd.Flags())
	return cmd
}

// sayLanguages says how far each translation is.
func sayLanguages(cmd *cobra.Command, result *compiler.Result) error {
	for _, src := range result.Sources.Translations {
		f, broken := words.Read(src)
		if len(broken) > 0 {
			continue
		}
		t := words.Of(result.Library, f)
		begun := 0
		for _, p := range result.Library.Procedures {
			if t.Speaks(p.Name) {
				begun++
			}
		}
		if _, err := fmt.Fprintf(cmd.OutOrStdout(), "%s: %s; %d of %s\n", src.Path, tally(f), begun, count(len(result.Library.Procedures), "procedure")); err != nil {
			return err
		}
	}
	return nil
}
