package say

var germanCompanion = Companion{
	Walk: "%s gehen", RowWalk: "gehen", WalkEnds: "Beginnen und enden Sie langsam. Wenn Sie nicht mehr sprechen können, gehen Sie langsamer.",
	Talk: map[string]string{
		"light":    "Gehen Sie so leicht, dass Sie singen könnten.",
		"moderate": "Gehen Sie so, dass Sie sprechen, aber nicht singen können.",
		"vigorous": "Gehen Sie so, dass Sie nur wenige Wörter am Stück sagen können.",
	},
	TalkShort: map[string]string{"light": "Sie könnten singen", "moderate": "sprechen, nicht singen", "vigorous": "wenige Wörter am Stück"},
	Exercise: map[string]Movement{
		"chair-rise":   {"Vom Stuhl aufstehen", "Setzen Sie sich auf einen festen Stuhl, der an einer Wand steht, die Arme gekreuzt. Stehen Sie auf und setzen Sie sich langsam wieder hin."},
		"wall-push-up": {"Von der Wand abdrücken", "Stellen Sie sich eine Armlänge vor eine Wand, die Hände in Brusthöhe daran. Beugen Sie die Arme und drücken Sie sich wieder ab."},
		"heel-raise":   {"Auf die Zehen", "Halten Sie sich an einer Stuhllehne fest. Heben Sie sich auf die Zehen und senken Sie sich langsam."},
		"step-up":      {"Auf die Stufe steigen", "Halten Sie sich am Geländer fest. Steigen Sie auf die unterste Stufe und wieder hinab; beginnen Sie jedes Mal mit dem anderen Bein."},
		"bridge":       {"Das Becken heben", "Legen Sie sich auf den Rücken, Knie gebeugt, Füße flach. Heben Sie das Becken und senken Sie es langsam."},
		"bag-row":      {"Eine Tasche hochziehen", "Stützen Sie sich mit einer Hand auf einen Tisch, in der anderen eine Tasche. Ziehen Sie die Tasche zur Hüfte und lassen Sie sie langsam sinken; die Hälfte der Male mit jedem Arm."},
	},
	Effort: "Jeder Satz endet bei einer Mühe von etwa %s von 10: Sie könnten noch einige mehr. Ist es schwerer, machen Sie weniger.",
	Each:   "jede Übung: %s von je %s", EachOne: "jede Übung: %s", EachRest: "; nach jedem Satz %s entspannen",
	Sets: "%s: %s von je %s.", One: "%s: %s.", Rest: "Entspannen Sie nach jedem Satz %s.",
	Repetition:       Noun{"Wiederholung", "Wiederholungen"},
	BreatheExercises: "Atmen Sie aus, während Sie drücken, ziehen oder aufstehen, und auf dem Rückweg ein; halten Sie nie die Luft an.",
	RowSet:           "%s: %s",
}
