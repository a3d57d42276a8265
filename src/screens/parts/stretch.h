// SPDX-License-Identifier: Apache-2.0
//
// Stretches of rows (advice/next/going_back.h) in words, for the pages that speak of them.
//
// Private to this folder.
#pragma once

#include <string>

#include "advice/next/going_back.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// What to do there: a word, and the sign that goes with it.
struct BackSign {
  std::string word;
  Tone tone = Tone::plain;
};
BackSign sign_of(advice::Back what);

// Where its mean stands against the band, as a map shows it.
widgets::VerdictSign stand_of(const advice::Stretch& stretch);

std::string stretch_text(const ledger::Season& season, const advice::Stretch& stretch);
// Who pruned it and when; that it was inferred, where it was.
std::string whose_text(Frame& frame, const advice::Stretch& stretch);
std::string estimate_text(const orchard::Estimate& estimate);  // "231 (212 to 250)"

}  // namespace nthtree::screens
