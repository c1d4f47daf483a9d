package review

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
)

// settings returns the settings that the pair signed last.
func settings(state *casefile.State) casefile.ComparedAs {
	if n := len(state.ComparedAs); n > 0 {
		return state.ComparedAs[n-1].Terms
	}
	return casefile.ComparedAs{}
}

// ReadableAs returns the complete settings for the pair to sign: the given ones, and for the rest
// those signed before, because only the last signed act applies. It first reads the files, and
// every export that came in before, with these settings. If one of them lacks a name or a language,
// that is an error and nothing is recorded.
func (r *Review) ReadableAs(given casefile.ComparedAs, files ...File) (casefile.ComparedAs, error) {
	state := r.of.State()
	if err := unsealed(state); err != nil {
		return given, err
	}
	how := settings(state)
	if len(given.Elections) == 0 {
		given.Elections = how.Elections
	}
	if given.Language == "" {
		given.Language = how.Language
	}
	if given.UnitLimit == 0 {
		given.UnitLimit = how.UnitLimit
	}
	e, _, err := r.readAs(context.Background(), state, given, files)
	if err != nil {
		return given, err
	}
	if err := KnowsLanguage(e, given.Language); err != nil {
		return given, err
	}
	if slices.Equal(given.Elections, how.Elections) && given.Language == how.Language {
		return given, nil
	}
	r.mu.Lock()
	rounds, err := r.rounds(state)
	rounds = append(rounds, r.came.others...)
	r.mu.Unlock()
	if err != nil {
		return given, err
	}
	for _, x := range rounds {
		e, err := r.readRound(context.Background(), x, given.Elections)
		if err == nil {
			err = KnowsLanguage(e, given.Language)
		}
		if err != nil {
			return given, fmt.Errorf("%s, which came in before, cannot be read so: %w", exportOn(x), err)
		}
	}
	return given, nil
}

// KnowsLanguage returns an error if the export has no wording in the requested language.
func KnowsLanguage(e *model.Election, language string) error {
	if language == "" || slices.ContainsFunc(e.Origins.Languages, func(known string) bool {
		return strings.EqualFold(known, language)
	}) {
		return nil
	}
	has := "it names no language at all: leave --language out"
	if len(e.Origins.Languages) > 0 {
		has = "it has " + strings.Join(e.Origins.Languages, ", ")
	}
	return fmt.Errorf("--language: the export has no wording in %q; %s", language, has)
}

// readAs reads files that are about to come in. A card list alone is read with the last export.
func (r *Review) readAs(ctx context.Context, state *casefile.State, how casefile.ComparedAs,
	files []File) (*model.Election, cdf.Contents, error) {
	m := sortOut(files, len(state.ActiveExports()) > 0)
	if len(m.parts)+len(m.tables) == 0 && m.cards != nil {
		r.mu.Lock()
		rounds, err := r.rounds(state)
		r.mu.Unlock()
		if err != nil {
			return nil, cdf.Contents{}, err
		}
		if len(rounds) > 0 {
			last := rounds[len(rounds)-1]
			last.Cards = nil
			with, err := r.materialOf(last)
			if err != nil {
				return nil, cdf.Contents{}, err
			}
			with.cards = m.cards
			m = with
		}
	}
	return m.read(ctx, how.Elections)
}
