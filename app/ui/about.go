package ui

import (
	"runtime"
	"runtime/debug"
	"strings"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/assets"
)

// about says what the program is, which version, and under which licences it and
// what is built into it stand.
func (w *Window) about() {
	if w.busy() {
		return
	}
	info, _ := debug.ReadBuildInfo()
	w.askLong("about", "panewright", container.NewVBox(
		wrapped(lang.L("Curved glass, read by hand on a gridded board, made into an outline, a face, a centre line that is found instead of assumed, and a pocket to try the glass in.")),
		wrapped(versionWord(info)),
		wrapped(shortCaution()),
		widget.NewSeparator(),
		title(lang.L("Licence")),
		wrapped(lang.L("BSD 3-Clause: use it, change it and hand it on, as long as its notice goes with it. It comes without any warranty. The text stands in the file LICENSE.")),
		title(lang.L("Built into it, with thanks")),
		wrapped(lang.L("They ask to be named and come without warranty too; their texts stand in their sources.")),
		dim(licenceLines(assets.Licences()))))
}

// versionWord is the version that was built, as far as the program knows.
func versionWord(info *debug.BuildInfo) string {
	version, day := lang.L("own build"), ""
	if info != nil {
		if v := info.Main.Version; v != "" && v != "(devel)" {
			version = v
		}
		for _, s := range info.Settings {
			switch {
			case s.Key == "vcs.revision" && len(s.Value) >= 8:
				day = s.Value[:8] + day
			case s.Key == "vcs.time" && len(s.Value) >= 10:
				day += ", " + s.Value[:10]
			}
		}
	}
	text := lang.L("Version: {{.V}}, for {{.System}}.", map[string]any{"V": version, "System": runtime.GOOS + " " + runtime.GOARCH})
	if day != "" {
		text += " " + lang.L("Made from {{.Of}}.", map[string]any{"Of": strings.TrimPrefix(day, ", ")})
	}
	return text
}

// licenceLines are the modules under each licence, a paragraph each.
func licenceLines(list string) string {
	var names []string
	under := map[string][]string{}
	for line := range strings.Lines(list) {
		module, licence, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok {
			continue
		}
		if under[licence] == nil {
			names = append(names, licence)
		}
		under[licence] = append(under[licence], module)
	}
	var b strings.Builder
	for i, n := range names {
		if i > 0 {
			b.WriteString("\n")
		}
		b.WriteString(n + ": " + strings.Join(under[n], ", "))
	}
	return b.String()
}
