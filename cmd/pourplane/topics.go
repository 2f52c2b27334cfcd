package main

import (
	"embed"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"pourplane/plot/table"
	"pourplane/surface/job"
)

// pages are the help topics, readable in the tree and printed by help. Each begins with
// its title.
//
//go:embed topics/*.md
var pages embed.FS

// topics are the pages in the order in which a new user needs them.
var topics = []string{"your-floor", "page", "units", "csv", "outlines", "grid-sheets", "level-books", "landxml", "targets", "water", "how-sure", "orders", "flatness", "settlement", "job-files", "json", "exactness", "cautions"}

// pageOf returns a page in Markdown.
func pageOf(topic string) string {
	text, err := pages.ReadFile("topics/" + topic + ".md")
	if err != nil {
		panic(err) // a test reads every page
	}
	return string(text)
}

// titleOf returns the title of a page.
func titleOf(topic string) string {
	first, _, _ := strings.Cut(pageOf(topic), "\n")
	return strings.TrimPrefix(first, "# ")
}

// newHelp returns the command that prints a page, or the usage of a command.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [TOPIC or COMMAND]",
		Short: "A page about a topic, or the options of a command",
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			names := slices.Clone(topics)
			for _, sub := range c.Root().Commands() {
				if sub.IsAvailableCommand() && !slices.Contains(names, sub.Name()) {
					names = append(names, sub.Name())
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			root := c.Root()
			if len(args) == 0 {
				return root.Help()
			}
			if len(args) == 1 && slices.Contains(topics, args[0]) {
				return printPage(c.OutOrStdout(), pageOf(args[0]))
			}
			found, left, err := root.Find(args)
			if err != nil || len(left) > 0 || found == root {
				return unknownTopic(root, strings.Join(args, " "))
			}
			found.InitDefaultHelpFlag()
			return found.Help()
		},
	}
}

// unknownTopic refuses an unknown topic, with the one that may be meant.
func unknownTopic(root *cobra.Command, wrong string) error {
	names := slices.Clone(topics)
	for _, sub := range root.Commands() {
		names = append(names, sub.Name())
	}
	hint := "pourplane help lists topics and commands"
	if near := job.Nearest(wrong, names); near != "" {
		hint = fmt.Sprintf("did you mean pourplane help %s? %s", near, hint)
	}
	return &usageError{text: fmt.Sprintf("there is no topic or command %q", wrong), hint: hint}
}

// printPage prints a page for a terminal: code is indented, tables are in columns, and
// Markdown marks are removed.
func printPage(w io.Writer, page string) error {
	var b strings.Builder
	var rows [][]string
	code := false
	for line := range strings.Lines(page) {
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, "```") {
			code = !code
			continue
		}
		if code {
			b.WriteString("    " + line + "\n")
			continue
		}
		line = strings.NewReplacer("`", "", "**", "").Replace(line)
		if strings.HasPrefix(line, "|") {
			rows = append(rows, cellsOf(line))
			continue
		}
		if err := writeRows(&b, rows); err != nil {
			return err
		}
		rows = nil
		b.WriteString(underlined(line) + "\n")
	}
	if err := writeRows(&b, rows); err != nil {
		return err
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// underlined writes a heading with a line below it; other lines are unchanged.
func underlined(line string) string {
	for mark, rule := range map[string]string{"# ": "=", "## ": "-"} {
		if head, ok := strings.CutPrefix(line, mark); ok {
			return head + "\n" + strings.Repeat(rule, utf8.RuneCountInString(head))
		}
	}
	return line
}

// cellsOf returns the cells of a row of a table in Markdown.
func cellsOf(line string) []string {
	cells := strings.Split(strings.Trim(line, "| "), "|")
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells
}

// writeRows writes a table in columns: heads, the rule (skipped), rows.
func writeRows(b *strings.Builder, rows [][]string) error {
	if len(rows) < 2 {
		return nil
	}
	var t table.Table
	for _, head := range rows[0] {
		t.Columns = append(t.Columns, table.Column{Name: head})
	}
	for _, row := range rows[2:] {
		var cells []table.Cell
		for _, text := range row {
			cells = append(cells, table.Text(text))
		}
		t.Rows = append(t.Rows, cells)
	}
	return table.WriteText(b, t, wideHelp)
}
