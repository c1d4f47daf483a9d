package main

import (
	"fmt"
	"os/exec"
	"regexp"
	"strings"

	"counterproof/model/program"
)

// commandLine is a line of a program's help that names a command.
var commandLine = regexp.MustCompile(`(?m)^  ([a-z][a-z-]+) .* {2,}\S`)

// manPages are the manual pages, made of what the programs' own help prints, below "share".
func (r *release) manPages() ([]file, error) {
	var list []file
	for name, what := range map[string]string{
		desktop:  "prove an election's set-up, in a window",
		terminal: "prove an election's set-up, on the terminal",
	} {
		help, err := outputOf(exec.Command(r.built["linux "+name], "--help"))
		if err != nil {
			return nil, err
		}
		page := fmt.Sprintf(".TH %s 1 %q %q\n.SH NAME\n%s \\- %s\n.SH DESCRIPTION\n%s", strings.ToUpper(name),
			r.date.Format("2006-01-02"), "Counterproof "+program.Version, name, what, verbatim(help))
		if name == terminal {
			commands := commandLine.FindAllStringSubmatch(help, -1)
			if len(commands) < 5 {
				return nil, fmt.Errorf("no commands are found in the help of %s", name)
			}
			for _, c := range commands {
				help, err := outputOf(exec.Command(r.built["linux "+name], c[1], "--help"))
				if err != nil {
					return nil, err
				}
				page += fmt.Sprintf(".SH %s\n%s", strings.ToUpper(name+" "+c[1]), verbatim(help))
			}
		}
		f, err := zipped("man/man1/"+name+".1.gz", []byte(page))
		if err != nil {
			return nil, err
		}
		list = append(list, f)
	}
	return list, nil
}

// verbatim is text as roff that is shown as it is.
func verbatim(text string) string {
	var b strings.Builder
	b.WriteString(".nf\n")
	for line := range strings.Lines(strings.TrimSpace(text) + "\n") {
		line = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(line)
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			line = `\&` + line
		}
		b.WriteString(line)
	}
	b.WriteString(".fi\n")
	return b.String()
}
