package judged

import "isocue.example/compiler/finding"

// The part of SARIF that we write, with the names of its own: section 3 of the standard says what each means.
const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool struct {
		Driver sarifDriver `json:"driver"`
	} `json:"tool"`
	Automation  *sarifAutomation  `json:"automationDetails,omitempty"`
	Invocations []sarifInvocation `json:"invocations"`
	Artifacts   []sarifArtifact   `json:"artifacts"`
	Results     []sarifResult     `json:"results"`
	ColumnKind  string            `json:"columnKind"`
}

type sarifDriver struct {
	Name     string      `json:"name"`
	Version  string      `json:"version"`
	Semantic string      `json:"semanticVersion"`
	Rules    []sarifRule `json:"rules"`
}

type sarifAutomation struct {
	ID string `json:"id"`
}

type sarifInvocation struct {
	Successful bool   `json:"executionSuccessful"` // the judging, not what it said
	ExitCode   int    `json:"exitCode"`
	Says       string `json:"exitCodeDescription"`
}

type sarifRule struct {
	ID     string    `json:"id"`
	Short  sarifText `json:"shortDescription"`
	Full   sarifText `json:"fullDescription"`
	Help   sarifText `json:"help"`
	Config struct {
		Level string `json:"level"`
	} `json:"defaultConfiguration"`
	Properties struct {
		Tags []string `json:"tags"`
	} `json:"properties"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifArtifact struct {
	Location sarifPlace `json:"location"`
	Roles    []string   `json:"roles"`
}

type sarifPlace struct {
	URI   string `json:"uri"`
	Index *int   `json:"index,omitempty"`
}

type sarifResult struct {
	RuleID       string              `json:"ruleId"`
	RuleIndex    int                 `json:"ruleIndex"`
	Level        string              `json:"level"`
	Message      sarifText           `json:"message"`
	Locations    []sarifLocation     `json:"locations"`
	Fingerprints map[string]string   `json:"partialFingerprints"`
	Suppressions *[]sarifSuppression `json:"suppressions,omitempty"`
	Properties   sarifVerdict        `json:"properties"`
}

type sarifVerdict struct {
	Verdict finding.Verdict `json:"verdict"`
}

type sarifLocation struct {
	Physical sarifPhysical  `json:"physicalLocation"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
}

type sarifPhysical struct {
	Artifact sarifPlace   `json:"artifactLocation"`
	Region   *sarifRegion `json:"region"`
}

type sarifRegion struct {
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn,omitempty"`
}

type sarifLogical struct {
	Name string `json:"fullyQualifiedName"`
	Kind string `json:"kind"`
}

type sarifSuppression struct {
	Kind          string `json:"kind"`
	Status        string `json:"status"`
	Justification string `json:"justification"`
}
