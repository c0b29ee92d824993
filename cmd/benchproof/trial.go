package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/paths"
	"benchproof/compiler/trial"
	"benchproof/dsl/message"
)

func newTrial() *cobra.Command {
	var r reporting
	var dates dating
	cmd := &cobra.Command{
		Use:   "trial [DIR]",
		Short: "Run the worked cases of a library and show what each did",
		Long: `Trial runs every trial of the library in DIR (the current folder where none is
named) and prints what each did: for which members, how the job finished, in what
expected time, and whether all that was expected held. Below it stands how many
of each procedure's branches the trials take.

Trials run when nothing else is wrong; otherwise the messages are printed.`,
		Example: "  benchproof trial my-library\n  benchproof trial my-library --format json",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if r.format != "text" && r.format != "json" {
				return fmt.Errorf("--format %s: expected text or json", r.format)
			}
			dir := folder(args)
			day, err := dates.day()
			if err != nil {
				return err
			}
			result, err := checkFolderOn(cmd.Context(), dir, day)
			if err != nil {
				return err
			}
			write := trialTable
			if r.format == "json" {
				write = trialJSON
			}
			if err := write(cmd.OutOrStdout(), result); err != nil {
				return fmt.Errorf("the trials could not be written: %w", err)
			}
			if err := reportText(cmd.ErrOrStderr(), dir, result.Messages); err != nil {
				return err
			}
			if r.fails(result.Messages) {
				return errWrong
			}
			return nil
		},
	}
	dates.flags(cmd.Flags(), &r)
	cmd.Flags().StringVar(&r.format, "format", "text", "the table as `text`, or json for programs")
	cmd.Flags().BoolVar(&r.strict, "strict", false, "let a warning about the sources fail, too")
	return cmd
}

func trialTable(w io.Writer, result *compiler.Result) error {
	if len(result.Trials) == 0 && len(result.Coverage) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	last := ""
	for _, o := range result.Trials {
		name := o.Trial.Of.Name
		if name != last {
			if last != "" {
				fmt.Fprintln(t)
			}
			fmt.Fprintf(t, "%s\n", name)
			last = name
		}
		for _, run := range o.Runs {
			verdict := "held"
			if len(run.Failed) > 0 || run.Trace.Missing != nil {
				verdict = "DID NOT HOLD"
			}
			fmt.Fprintf(t, "  %s\t%s\t%s\t%s\t%s\n", message.Printable(o.Trial.Title), memberNames(run), run.Finish(), expectedTime(run), verdict)
		}
	}
	fmt.Fprintln(t)
	taken, all := 0, 0
	for _, c := range result.Coverage {
		fmt.Fprintf(t, "%s\t%s\t%d of %s taken\n", c.Procedure.Name, count(c.Trials, "trial"), c.Taken, branches(c.All))
		taken, all = taken+c.Taken, all+c.All
	}
	fmt.Fprintf(t, "all\t%s\t%d of %s taken\n", count(len(result.Trials), "trial"), taken, branches(all))
	return t.Flush()
}

func branches(n int) string {
	if n == 1 {
		return "1 branch"
	}
	return fmt.Sprintf("%d branches", n)
}

func memberNames(run trial.Run) string {
	var names []string
	for _, m := range run.Members {
		names = append(names, m.Name)
	}
	return strings.Join(names, ", ")
}

func expectedTime(run trial.Run) string {
	if !run.Trace.Timed {
		return ""
	}
	return run.Trace.Minutes.String() + " min"
}

// trialRun is one line of the table for programs.
type trialRun struct {
	Procedure string            `json:"procedure"`
	Trial     string            `json:"trial"`
	Members   map[string]string `json:"members"`
	Finish    string            `json:"finish"`
	Minutes   string            `json:"minutes,omitempty"`
	Taken     []trialTaken      `json:"taken"`
	Failed    []string          `json:"failed"`
}

type trialTaken struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

type trialCoverage struct {
	Procedure string `json:"procedure"`
	Trials    int    `json:"trials"`
	Taken     int    `json:"taken"`
	Branches  int    `json:"branches"`
}

func trialJSON(w io.Writer, result *compiler.Result) error {
	out := struct {
		Runs     []trialRun      `json:"runs"`
		Coverage []trialCoverage `json:"coverage"`
	}{Runs: []trialRun{}, Coverage: []trialCoverage{}}
	for _, o := range result.Trials {
		for _, run := range o.Runs {
			line := trialRun{Procedure: o.Trial.Of.Name, Trial: o.Trial.Title, Members: map[string]string{}, Finish: run.Finish(), Taken: []trialTaken{}, Failed: append([]string{}, run.Failed...)}
			for _, m := range run.Members {
				line.Members[m.Variant.Name] = m.Name
			}
			if run.Trace.Timed {
				line.Minutes = run.Trace.Minutes.String()
			}
			for _, x := range run.Trace.Taken {
				line.Taken = append(line.Taken, trialTaken{x.Of.Declared().Name, takenValue(x)})
			}
			out.Runs = append(out.Runs, line)
		}
	}
	for _, c := range result.Coverage {
		out.Coverage = append(out.Coverage, trialCoverage{c.Procedure.Name, c.Trials, c.Taken, c.All})
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(out)
}

func takenValue(x paths.Taken) string {
	if x.Answer != nil {
		return x.Answer.Name
	}
	return x.Value.String()
}
