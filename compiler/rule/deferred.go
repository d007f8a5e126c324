package rule

import (
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/phrase"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// deferred is the data of the base that most runs never look at, each file read when it is first asked for: a protocol is judged without
// questions, symptoms and the titles of sources, and reading them takes longer than judging it. A file of ours that cannot be read is a
// defect of the program.
type deferred struct {
	sources func() map[string]Source
	samples func() map[string]Sample
	asked   func() asked
	signs   func() []record.Symptom
	words   func() record.LogWords
	lexicon func() *phrase.Lexicon
	texts   func() *phrase.Texts
}

// asked is what a client is asked, and the conditions that no question asks about.
type asked struct {
	questions, stops []Question
	set              int
}

// Sample is a made-up set of facts that rule examples are laid over.
type Sample struct {
	About string
	Given *tree.Node
}

func readDeferred(fsys fs.FS) deferred {
	d := deferred{sources: once(fsys, "sources.cue", readSources), samples: once(fsys, "samples.cue", readSamples),
		asked: once(fsys, "questions.cue", readQuestions), words: once(fsys, "logwords.cue", readLogWords)}
	// Signs are read before the others, for they are shown in this order.
	signs, others := once(fsys, "symptoms.cue", readSymptoms), once(fsys, "symptomsother.cue", readSymptoms)
	d.signs = sync.OnceValue(func() []record.Symptom { return slices.Concat(signs(), others()) })
	d.lexicon = sync.OnceValue(func() *phrase.Lexicon { return phrase.NewLexicon(d.signs(), d.words()) })
	generics := once(fsys, "medicines.cue", readGenerics)
	var says []func() []record.TextSays
	for _, name := range []string{"textsmedicine.cue", "textspromise.cue", "textseffort.cue", "textsdanger.cue"} {
		says = append(says, once(fsys, name, readSays))
	}
	d.texts = once(fsys, "texts.cue", func(n *tree.Node) *phrase.Texts {
		w := readTexts(n)
		for _, read := range says {
			w.Says = append(w.Says, read()...)
		}
		w.Classes[medicine] = append(w.Classes[medicine], generics()...)
		return phrase.NewTexts(w, d.lexicon())
	})
	return d
}

// once reads a file when it is first asked for.
func once[T any](fsys fs.FS, name string, read func(*tree.Node) T) func() T {
	return sync.OnceValue(func() T {
		n, err := data(fsys, name)
		if err != nil {
			panic(finding.Bug{What: fmt.Sprintf("schema/%s: %v", name, err)})
		}
		return read(n)
	})
}

func (d deferred) readAll() {
	d.sources()
	d.samples()
	d.asked()
	d.signs()
	d.words()
	d.texts()
}

// Sources are what rules rest on, by key.
func (b *Base) Sources() map[string]Source { return b.deferred.sources() }

// Samples are the sets of facts of examples, by name.
func (b *Base) Samples() map[string]Sample { return b.deferred.samples() }

// Questions are asked in this order before training begins.
func (b *Base) Questions() []Question { return b.deferred.asked().questions }

// QuestionSet is the number of the set of questions, one more whenever one is added.
func (b *Base) QuestionSet() int { return b.deferred.asked().set }

// Stops are conditions that no question asks about; only a clearance of a later day opens them.
func (b *Base) Stops() []Question { return b.deferred.asked().stops }

// Symptoms are what a log may tell of, in the order in which they are shown.
func (b *Base) Symptoms() []record.Symptom { return b.deferred.signs() }

// LogWords are the words that turn what stands beside them in a note.
func (b *Base) LogWords() record.LogWords { return b.deferred.words() }

// Lexicon knows the words of logs.
func (b *Base) Lexicon() *phrase.Lexicon { return b.deferred.lexicon() }

// Texts knows the words that titles and notes are held against.
func (b *Base) Texts() *phrase.Texts { return b.deferred.texts() }

func readSources(n *tree.Node) map[string]Source {
	all, out := n.Get("sources"), map[string]Source{}
	for _, k := range all.Keys {
		s := all.Field[k]
		out[k] = Source{Key: k, Authors: s.Get("authors").Text(), Year: s.Get("year").Whole(), Title: s.Get("title").Text(),
			In: s.Get("in").Text(), Where: s.Get("where").Text(), Kind: s.Get("kind").Text(), Seen: s.Get("seen").Text(), Figures: s.Get("figures").Text(), Says: s.Get("says").Text()}
	}
	return out
}

func readSamples(n *tree.Node) map[string]Sample {
	all, out := n.Get("samples"), map[string]Sample{}
	for _, k := range all.Keys {
		out[k] = Sample{About: all.Field[k].Get("about").Text(), Given: all.Field[k].Get("given")}
	}
	return out
}
