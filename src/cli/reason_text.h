// SPDX-License-Identifier: Apache-2.0
//
// A reason of advice/ as an English sentence for a terminal. (The app has its own, in every
// language.)
#pragma once

#include <string>

#include "advice/judged/acceptance.h"
#include "advice/judged/against_crew.h"
#include "advice/known/counting_bias.h"
#include "advice/hand_terms.h"
#include "advice/reason.h"
#include "advice/judged/remedy.h"
#include "advice/judged/verdict.h"

namespace nthtree::cli {

// The id itself and its numbers where there is no sentence for it.
std::string sentence(const advice::Reason& reason);

// "harder", "lighter", "on target"; an open one by its remedy: "count more", "re-count first",
// "cut open more buds"; "no target".
std::string word_of(const advice::Verdict& verdict);
// "more than the others" …
std::string word_of(advice::AgainstCrewKind kind);
// "accepted", "too many left" …; and the stable word for JSON.
std::string word_of(advice::AcceptanceKind kind);
const char* name_of(advice::AcceptanceKind kind);

// "rounds to 0 and 5" …; and the stable word for JSON.
std::string word_of(advice::CountingSign sign);
const char* name_of(advice::CountingSign sign);

// "take 2 more spurs on each limb"; empty where there is nothing to change.
std::string in_the_hands(const advice::Verdict& verdict);

}  // namespace nthtree::cli
