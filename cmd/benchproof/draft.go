package main

import (
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/cmd/benchproof/draft"
)

func newDraft() *cobra.Command {
	var out, video string
	cmd := &cobra.Command{
		Use:   "draft FILE",
		Short: "Make a first procedure of a talk or a list of instructions",
		Long: `Draft reads the transcript of a talk at the bench (WebVTT, SubRip, or lines that
begin with a time, such as "1:36 Now take the puller") or a Markdown list of
instructions, in English, and writes a first procedure in the language: its tools
and parts by the numbers that were said, a step for each instruction, values with
their units, decisions, warnings.

A draft is a draft. It says what was heard, not what is right: every line of it
is to be read by somebody who knows the job. What could not be told stands as a
comment that begins with "# check:". Then check the draft like any library: it
shows what the talk left out or contradicted.

FILE may be - for standard input. A file that is there is never overwritten.`,
		Example: "  benchproof draft seal-change.vtt --video training/seal-change.mp4 --out bench/seal-change.proc\n  benchproof check bench",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("name one file: a transcript with times or a list in Markdown (see benchproof draft --help)")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := followable(video); err != nil {
				return err
			}
			data, err := draftInput(cmd, args[0])
			if err != nil {
				return err
			}
			name := args[0]
			if name == "-" {
				name = ""
			}
			d, err := draft.Make(data, draft.Options{Name: name, Video: video})
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			if out == "" {
				_, err = io.WriteString(cmd.OutOrStdout(), d.Text)
			} else if err = createWhole(out, []byte(d.Text)); errors.Is(err, os.ErrExist) {
				return fmt.Errorf("%s is there already and stays as it is; name another file", out)
			}
			if err != nil {
				return err
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "a draft of %s, %s, %s, %s; %s to answer (# check:); %s left out\n",
				count(d.Steps, "step"), count(d.Things, "thing"), count(d.Decisions, "decision"), count(d.Hazards, "hazard"),
				count(len(d.Checks), "question"), count(d.LeftOut, "sentence"))
			return nil
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "write to this `FILE` instead of standard output")
	cmd.Flags().StringVar(&video, "video", "", "the address of the recording, for the `LINK` of each step")
	return cmd
}

// followable accepts what a procedure may link to: the web, and files beside
// the documents.
func followable(link string) error {
	if link == "" {
		return nil
	}
	u, err := url.Parse(link)
	if err == nil {
		switch strings.ToLower(u.Scheme) {
		case "http", "https":
			return nil
		case "":
			if !strings.HasPrefix(link, "/") && !strings.Contains(link, "..") && !strings.Contains(link, `\`) {
				return nil
			}
		}
	}
	return fmt.Errorf("--video %q: a recording is on the web (https://…) or a file beside the documents (training/seal.mp4)", link)
}

func draftInput(cmd *cobra.Command, name string) ([]byte, error) {
	r := cmd.InOrStdin()
	if name != "-" {
		info, err := os.Stat(name)
		switch {
		case errors.Is(err, os.ErrNotExist):
			return nil, fmt.Errorf("there is no file %s", name)
		case err != nil:
			return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
		case info.IsDir():
			return nil, fmt.Errorf("%s is a folder; name a transcript or a list", name)
		}
		f, err := os.OpenFile(name, os.O_RDONLY|noWaiting, 0)
		if err != nil {
			return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
		}
		defer f.Close()
		r = f
	}
	data, err := io.ReadAll(io.LimitReader(r, draft.MaxSize+1))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", name, plainPath(err))
	}
	return data, nil
}
