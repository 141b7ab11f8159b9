package sarif

import "kitgauge/checker/finding"

// The objects of SARIF 2.1.0, as far as they are written. Members stand in
// the order of the specification's own examples.

type logFile struct {
	Schema  string   `json:"$schema"`
	Version string   `json:"version"`
	Runs    []runLog `json:"runs"`
}

type runLog struct {
	Tool               tool                `json:"tool"`
	AutomationDetails  automation          `json:"automationDetails"`
	Invocations        []invocation        `json:"invocations"`
	OriginalURIBaseIDs map[string]fileSpot `json:"originalUriBaseIds,omitempty"`
	DefaultEncoding    string              `json:"defaultEncoding"`
	ColumnKind         string              `json:"columnKind"`
	Artifacts          []artifact          `json:"artifacts"`
	Results            []result            `json:"results"`
	Properties         *runProperties      `json:"properties,omitempty"`
}

type runProperties struct {
	Gate    string `json:"gate"`
	Verdict string `json:"verdict"`
	On      string `json:"concessionsAsOf,omitempty"`
	Caution string `json:"caution"`
	Policy  string `json:"judgedBy,omitempty"`
}

type tool struct {
	Driver driver `json:"driver"`
}

type driver struct {
	Name             string    `json:"name"`
	Version          string    `json:"version,omitempty"`
	ShortDescription message   `json:"shortDescription"`
	Rules            []ruleLog `json:"rules"`
}

type automation struct {
	ID          string  `json:"id"`
	Description message `json:"description"`
}

type message struct {
	Text string `json:"text"`
}

type ruleLog struct {
	ID                   string         `json:"id"`
	Name                 string         `json:"name,omitempty"`
	ShortDescription     message        `json:"shortDescription"`
	FullDescription      message        `json:"fullDescription"`
	Help                 help           `json:"help"`
	DefaultConfiguration configuration  `json:"defaultConfiguration"`
	Properties           ruleProperties `json:"properties"`
}

// help is a multiformatMessageString.
type help struct {
	Text     string `json:"text"`
	Markdown string `json:"markdown"`
}

type configuration struct {
	Level string `json:"level"`
}

type ruleProperties struct {
	Severity string   `json:"severity"`
	Basis    string   `json:"basis,omitempty"`
	Tags     []string `json:"tags"`
}

type invocation struct {
	ExecutionSuccessful        bool           `json:"executionSuccessful"`
	ExitCode                   int            `json:"exitCode"`
	ExitCodeDescription        string         `json:"exitCodeDescription"`
	ToolExecutionNotifications []notification `json:"toolExecutionNotifications,omitempty"`
	// ToolConfigurationNotifications tell what settings weaken (3.20.22).
	ToolConfigurationNotifications []notification `json:"toolConfigurationNotifications,omitempty"`
}

type notification struct {
	Level     string     `json:"level"`
	Message   message    `json:"message"`
	Locations []location `json:"locations,omitempty"`
}

type artifact struct {
	Location fileSpot `json:"location"`
	MimeType string   `json:"mimeType,omitempty"`
	Roles    []string `json:"roles,omitempty"`
}

// fileSpot is an artifactLocation.
type fileSpot struct {
	URI         string   `json:"uri,omitempty"`
	URIBaseID   string   `json:"uriBaseId,omitempty"`
	Index       *int     `json:"index,omitempty"`
	Description *message `json:"description,omitempty"`
}

type location struct {
	Message          *message  `json:"message,omitempty"`
	PhysicalLocation *physical `json:"physicalLocation,omitempty"`
	LogicalLocations []logical `json:"logicalLocations,omitempty"`
}

type physical struct {
	ArtifactLocation fileSpot `json:"artifactLocation"`
	Region           *region  `json:"region,omitempty"`
}

type region struct {
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn,omitempty"`
	EndLine     int `json:"endLine,omitempty"`
	EndColumn   int `json:"endColumn,omitempty"`
}

type logical struct {
	Name               string `json:"name,omitempty"`
	FullyQualifiedName string `json:"fullyQualifiedName,omitempty"`
	Kind               string `json:"kind,omitempty"`
}

type result struct {
	RuleID              string            `json:"ruleId"`
	RuleIndex           int               `json:"ruleIndex"`
	Kind                string            `json:"kind"`
	Level               string            `json:"level"`
	Rank                *float64          `json:"rank,omitempty"`
	Message             message           `json:"message"`
	Locations           []location        `json:"locations,omitempty"`
	RelatedLocations    []location        `json:"relatedLocations,omitempty"`
	PartialFingerprints map[string]string `json:"partialFingerprints,omitempty"`
	Suppressions        *[]suppression    `json:"suppressions,omitempty"` // nil where no result of the run has any
	BaselineState       string            `json:"baselineState,omitempty"`
	Fixes               []fix             `json:"fixes,omitempty"`
	Properties          resultProperties  `json:"properties"`
}

type suppression struct {
	Kind          string      `json:"kind"`
	Status        string      `json:"status"`
	Justification string      `json:"justification"`
	Location      *location   `json:"location,omitempty"`
	Properties    *permission `json:"properties,omitempty"`
}

type permission struct {
	Reason    string `json:"reason"`
	GrantedBy string `json:"grantedBy"`
	Until     string `json:"until"`
}

type fix struct {
	Description     message          `json:"description"`
	ArtifactChanges []artifactChange `json:"artifactChanges"`
}

type artifactChange struct {
	ArtifactLocation fileSpot      `json:"artifactLocation"`
	Replacements     []replacement `json:"replacements"`
}

type replacement struct {
	DeletedRegion   region  `json:"deletedRegion"`
	InsertedContent message `json:"insertedContent"`
}

type resultProperties struct {
	Kit      string         `json:"kit,omitempty"`
	Revision string         `json:"revision,omitempty"`
	Document int            `json:"document"` // from 0, in its file
	Severity string         `json:"severity"`
	Status   string         `json:"status"`
	Place    string         `json:"place,omitempty"`
	Pointer  string         `json:"pointer,omitempty"`
	Identity string         `json:"identity,omitempty"`
	Found    string         `json:"found,omitempty"`
	Remedy   string         `json:"remedy,omitempty"`
	Value    string         `json:"value,omitempty"`
	Limit    string         `json:"limit,omitempty"`
	Margin   string         `json:"margin,omitempty"`
	Basis    string         `json:"basis,omitempty"`
	Working  []finding.Term `json:"working,omitempty"`
}
