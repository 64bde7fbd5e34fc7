package ui

import "fyne.io/fyne/v2/lang"

// shortCaution is the one line that stands wherever files are handed on.
func shortCaution() string {
	return lang.L("Measuring and fit-check aid only. Check every dimension on the real glass before cutting material or bonding. Wear eye protection and cut-resistant gloves when handling glass.")
}

// allCautions are what to read before glass is handled or material cut.
func allCautions() []string {
	return []string{
		lang.L("Handling. Glass edges cut. Wear cut-resistant gloves with sleeves, eye protection and closed, sturdy shoes. Large panes need two people or suction lifters; carry them near vertical, never overhead or under one arm. If a pane slips, step away – do not try to catch it. Keep others, children and animals out of the area."),
		lang.L("Setting down. Set glass only on clean, soft pads, never on grit, metal or concrete, and never force it into a pocket or down to a board. Remove it from the fixture before using tools near it."),
		lang.L("Toughened glass. Toughened (tempered) panes cannot be cut, drilled, ground or notched; any attempt, or a damaged edge, can make the whole pane burst, at once or later. If it does not fit, change the body or the fixture, not the glass."),
		lang.L("Laminated windscreens. A windscreen is a safety part. Do not trim, grind or heat it. A pane with a chipped edge, crack or loosened layers should not be fitted."),
		lang.L("Marks. Do not remove, cover or copy the maker's approval mark. A pane without a proper mark may not be used on the road in many places."),
		lang.L("Machine cutting. The files are shapes, not instructions to a machine. Whoever programs the router is responsible for tool, speeds, hold-down and clearances. Guard the cutting area, wear eye and ear protection, keep hands clear until the cutter has stopped, do not leave a running machine alone, keep a fire extinguisher by it. Do a dry run above the work. Never put the glass on the machine bed while the spindle can turn."),
		lang.L("Dust and fumes. Dust from MDF and other wood is harmful to breathe and can burn or explode; use extraction and a well-fitting dust mask, vacuum instead of blowing or sweeping. Foam and tooling-board dust irritates; hot-cutting foam gives off harmful fumes – follow the material's safety sheet and ventilate."),
		lang.L("Adhesives and primers. Some contain isocyanates or solvents. Follow the maker's data sheet, including cure time before driving."),
		lang.L("Road use. Glass type, marking, position, light transmission, field of view, bonding and body structure are governed by law that differs from place to place. This program does not check any of it. Ask the authority or a licensed or qualified person responsible for approval where the vehicle will be used, before you cut, bond or drive."),
		lang.L("Numbers. The fit shown is only as good as the readings. Compare widths, diagonals and sag with the real pane, and cut a foam trial first."),
	}
}
