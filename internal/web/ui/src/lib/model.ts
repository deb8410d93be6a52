// The values of the API by their names: the nouns of the program as JSON, made
// from docs/openapi.json by `npm run types`. Units stand in the names (minutes,
// area_mm2); lists are never null; what is usual may be absent.
import type { components } from './api.gen.ts';

type Schemas = components['schemas'];

export type Hex = string; // sRGB "#rrggbb"
export type Scheme = Record<string, string>; // area to finish, paint, mix or "leave"

export type About = Schemas['About'];
export type AddsArea = Schemas['AddsArea'];
export type Bodies = Schemas['Bodies'];
export type AreaSpec = Schemas['AreaSpec'];
export type Bench = Schemas['Bench'];
export type BenchPass = Schemas['BenchPass'];
export type Casting = Schemas['Casting'];
export type Coat = Schemas['Coat'];
export type Colours = Schemas['Colours'];
export type AreaColours = Schemas['AreaColours'];
export type Comparison = Schemas['Comparison'];
export type Entry = Schemas['Entry'];
export type Figure = Schemas['Figure'];
export type FigureID = Schemas['FigureID'];
export type FileKept = Schemas['FileKept'];
/** One thing found wrong; path is a JSON Pointer by names ("/units/Lancers/scheme/jacket"). */
export type Finding = Schemas['Diagnostic'];
export type Finish = Schemas['Finish'];
export type Flag = Schemas['Flag'];
export type Head = Schemas['Head'];
export type Kept = Schemas['Kept'];
export type LeftOut = Schemas['LeftOut'];
export type LogAnswer = Schemas['LogAnswer'];
export type Look = Schemas['Look'];
export type MatchResult = Schemas['MatchResult'];
export type MeshLabel = Schemas['MeshLabel'];
export type MeshLabels = Schemas['MeshLabels'];
export type Mix = Schemas['Mix'];
export type MixAsk = Schemas['MixAsk'];
export type MixResult = Schemas['MixResult'];
export type NewProject = Schemas['NewProject'];
export type Order = Schemas['OrderResult'];
export type Paint = Schemas['Paint'];
export type Pair = Schemas['Pair'];
export type Pass = Schemas['Pass'];
export type Plan = Schemas['PlanState'];
export type Project = Schemas['Project'];
export type Reading = Schemas['Reading'];
export type Recruit = Schemas['Recruit'];
export type RecruitChoices = Schemas['RecruitChoices'];
export type Revision = Schemas['Revision'];
export type Role = Schemas['Role'];
export type Roster = Schemas['Roster'];
export type SheetKind = Schemas['SheetKind'];
export type Shopping = Schemas['Shopping'];
export type Single = Schemas['Single'];
export type Sitting = Schemas['Sitting'];
export type StarterPaint = Schemas['StarterPaint'];
export type Survey = Schemas['Survey'];
export type Trait = Schemas['Trait'];
export type TraitShare = Schemas['TraitShare'];
export type TraitValue = Schemas['TraitValue'];
export type Unit = Schemas['Unit'];
export type UnitRoster = Schemas['UnitRoster'];
export type WhatIf = Schemas['WhatIf'];
export type WhatIfAnswer = Schemas['WhatIfAnswer'];
export type AirAsk = Schemas['AirBody'];
export type AirReport = Schemas['Report'];
export type { Schemas };
