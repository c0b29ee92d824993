package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler/reference"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
	"benchproof/render/html"
)

func newExplain() *cobra.Command {
	var page string
	cmd := &cobra.Command{
		Use:   "explain [CODE|WORD]",
		Short: "Say what a message means, or what a word of the language is for",
		Long: `Explain prints the page of a code: what it means, why it matters at the bench, a
wrong example and a right one. Both are small complete libraries: copy the right
one into a folder and it passes check.

Of a word of the language it prints what may stand behind it and what it is for.
Without a code or word, all are listed.

With --html, the language and all messages are written as one page.`,
		Example: "  benchproof explain BP404\n  benchproof explain measure\n  benchproof explain --html reference.html",
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case page != "" && len(args) > 0:
				return errors.New("--html writes everything; it takes no code or word")
			case len(args) > 2:
				return fmt.Errorf("one code or word at a time: got %s", strings.Join(args, ", "))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			out := cmd.OutOrStdout()
			switch {
			case page != "":
				return writeHandbook(page)
			case len(args) == 0:
				return listCodes(out)
			}
			text, err := explanation(strings.Join(args, " ")) // "safe when" without quotes, too
			if err != nil {
				return err
			}
			_, err = io.WriteString(out, text)
			return err
		},
		ValidArgsFunction: func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
			var out []string
			for _, e := range message.Catalogue() {
				if strings.HasPrefix(string(e.Code), strings.ToUpper(begun)) {
					out = append(out, string(e.Code)+"\t"+e.Title)
				}
			}
			for _, e := range reference.Entries() {
				if strings.HasPrefix(e.Word, begun) && !strings.Contains(e.Word, " ") {
					out = append(out, e.Word+"\t"+e.Meaning)
				}
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		},
	}
	cmd.Flags().StringVar(&page, "html", "", "write the language and all messages as one page into this `file`")
	return cmd
}

// explanation is what there is to say of a code or a word.
func explanation(of string) (string, error) {
	if entry, ok := message.Find(of); ok {
		return message.Page(entry.Code), nil
	}
	var b strings.Builder
	for _, e := range reference.Find(of) {
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "# %s\n\n", e.Word)
		for _, form := range e.Forms {
			fmt.Fprintf(&b, "    %s\n\n", form)
		}
		if len(e.In) > 0 && e.In[0] != syntax.InFile.String() {
			fmt.Fprintf(&b, "In %s. ", strings.Join(e.In, ", "))
		}
		fmt.Fprintf(&b, "%s\n", e.Meaning)
		if e.Text != "" {
			fmt.Fprintf(&b, "\n%s\n", e.Text)
		}
	}
	if b.Len() > 0 {
		return b.String(), nil
	}
	word := strings.ToLower(of)
	if instead := syntax.Instead(word); instead != "" {
		return "", fmt.Errorf("there is no word %s; %s", word, instead)
	}
	if len(of) > 2 && strings.EqualFold(of[:2], "bp") {
		return "", fmt.Errorf("there is no code %s; benchproof explain lists all", of)
	}
	var words []string
	for _, e := range reference.Entries() {
		words = append(words, e.Word)
	}
	if near := message.Closest(word, words, min(2, len([]rune(word))/3)); near != "" {
		return "", fmt.Errorf("there is no word %s; did you mean %s?", of, near)
	}
	return "", fmt.Errorf("there is no code or word %s; benchproof explain lists all", of)
}

func listCodes(out io.Writer) error {
	var b strings.Builder
	for _, e := range message.Catalogue() {
		fmt.Fprintf(&b, "%s  %-7s  %s\n", e.Code, e.Severity, e.Title)
	}
	b.WriteByte('\n')
	for _, e := range reference.Entries() {
		fmt.Fprintf(&b, "%-14s  %s\n", e.Word, e.Meaning)
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// writeHandbook writes the language and all messages as one page.
func writeHandbook(name string) error {
	chapters := []html.Chapter{{ID: "language", Markdown: reference.Markdown(), Parts: true}}
	for _, e := range message.Catalogue() {
		chapters = append(chapters, html.Chapter{ID: string(e.Code), Markdown: message.Page(e.Code)})
	}
	var b bytes.Buffer
	if err := html.Manual(&b, "Benchproof: the language and its messages", chapters); err != nil {
		return err
	}
	if err := writeWhole(name, b.Bytes()); err != nil {
		return fmt.Errorf("the page cannot be written: %w", err)
	}
	return nil
}
