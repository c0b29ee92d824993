package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/record"
	"benchproof/render/html"
)

func newRecord() *cobra.Command {
	var format, sums, page, also string
	where, language := located{files: true}, speaking{}
	var keys, every bool
	cmd := &cobra.Command{
		Use:   "record FILE... [DIR]",
		Short: "Read back the records that pages saved, and say what is to look at",
		Long: `Record reads files that a work instruction's page saved and holds each to the
library: whether it belongs to the document as the library has it, whether the
way it went is one the procedure allows (the first step at which it leaves it is
named), what was measured and whether it lies within limits, who accepted each
hold point, torques and counts, what differs from the document, what was
changed, and what is missing.

The last name may be the library's folder (the current one where none is named);
--in says it, too. A record of an earlier revision is no damage: what it carries is
checked, and its way can be checked with the library as it was.

--sums FILE.csv writes for each reading of all the records how many values there
are, mean, spread, least, most, median and how many lie outside their limits, by
member and instrument, too; --html FILE.html the same with a run chart. Of a reading
that a repeat takes again and again the last counts, which is the one that decides,
and beside it stands how many turns there were; with --every-turn each counts.
--language writes the page in another language, of a translation of the library.

Each finding has a key that does not change; --keys lists them with the words of
a refusal. Exit status: 0 all records are in order, 1 there is something to look
at, 2 a file is no record that can be read.`,
		Example: "  benchproof record WI-1007-C-4711.json\n  benchproof record records/*.json pumps\n  benchproof record --format json records/*.json > report.json\n  benchproof record --sums sums.csv --html sums.html records/*.json",
		RunE: func(cmd *cobra.Command, args []string) error {
			if keys {
				return recordKeys(cmd.OutOrStdout())
			}
			args, dir := where.split(cmd, args)
			if cmd.Flags().Changed("library") {
				dir = also
			}
			if len(args) == 0 {
				return errors.New("name the records (see benchproof record --help)")
			}
			if err := language.valid(); err != nil {
				return err
			}
			if format != "text" && format != "json" {
				return fmt.Errorf("--format %s: expected text or json", format)
			}
			result, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			if !result.Sound() {
				if err := reportText(cmd.ErrOrStderr(), dir, result.Messages); err != nil {
					return err
				}
				return fmt.Errorf("the library %s is wrong: records cannot be held to it", dir)
			}
			said, words, err := language.in(cmd, result)
			if err != nil {
				return err
			}
			batch := record.NewBench(result).JudgeFiles(args)
			write := batch.WriteText
			if format == "json" {
				write = batch.WriteJSON
			}
			if err := write(cmd.OutOrStdout()); err != nil {
				return fmt.Errorf("the report could not be written: %w", err)
			}
			for _, f := range []struct {
				name  string
				write func(*record.Sums, io.Writer) error
			}{{sums, (*record.Sums).WriteCSV}, {page, func(s *record.Sums, w io.Writer) error {
				sayTitles(s, result, said)
				return html.Sums(w, s, words)
			}}} {
				if f.name == "" {
					continue
				}
				var b bytes.Buffer
				if err := f.write(batch.Sum(every), &b); err != nil {
					return err
				}
				if err := writeWhole(f.name, b.Bytes()); err != nil {
					return fmt.Errorf("%s cannot be written: %w", f.name, err)
				}
			}
			switch n := len(batch.Refused); {
			case n > 0:
				return fmt.Errorf("%s refused, the first %s: %s", count(n, "file"), batch.Refused[0].File, batch.Refused[0].Word)
			case !batch.InOrder():
				return errWrong
			}
			return nil
		},
	}
	where.flag(cmd.Flags())
	language.flag(cmd.Flags())
	cmd.Flags().StringVar(&also, "library", "", "another name of --in")
	_ = cmd.Flags().MarkHidden("library")
	cmd.Flags().StringVar(&format, "format", "text", "the report as `text`, or json for programs")
	cmd.Flags().StringVar(&sums, "sums", "", "write the sums of all readings to `FILE`, as CSV")
	cmd.Flags().StringVar(&page, "html", "", "write the sums with run charts to `FILE`, as a page")
	cmd.Flags().BoolVar(&every, "every-turn", false, "with --sums or --html: count the readings of every turn, not the last alone")
	cmd.Flags().BoolVar(&keys, "keys", false, "list the keys of findings and the words of refusals")
	return cmd
}

func recordKeys(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, k := range record.Keys {
		fmt.Fprintf(t, "%s\t%s\t%s\n", k.Key, k.Level, k.Meaning)
	}
	for _, r := range record.Refusals {
		fmt.Fprintf(t, "%s\trefused\t%s\n", r.Word, r.Meaning)
	}
	return t.Flush()
}

// sayTitles lets sums say the titles of documents and readings in the language of a
// translation, where it has them. What a record calls otherwise than the library is
// left as it is.
func sayTitles(s *record.Sums, source, said *compiler.Result) {
	if source == said {
		return
	}
	for _, x := range s.Series {
		i := slices.IndexFunc(source.Library.Procedures, func(p *library.Procedure) bool { return p.Name == x.Document })
		if i < 0 {
			continue
		}
		was, is := source.Library.Procedures[i], said.Library.Procedures[i]
		if x.Title == was.Title {
			x.Title, _ = said.Said(is.Title)
		}
		for k, r := range was.Readings {
			if r.Name == x.Name && k < len(is.Readings) && x.Reading == r.Title {
				x.Reading, _ = said.Said(is.Readings[k].Title)
			}
		}
	}
}
