// SPDX-License-Identifier: Apache-2.0
//
// What the screens and papers of a season say alike. Private to this folder.
#pragma once

#include <string>
#include <vector>

#include "advice/review/years.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

std::string year_text(const advice::SeasonOfBlock& season);  // "2026", "this season"
std::vector<std::string> years_head();
std::vector<std::string> years_row(const advice::SeasonOfBlock& season);
std::string bearing_text(const orchard::BiennialIndex& bearing);
std::string next_target_text(const advice::NextTarget& next);
std::string reasons_text(const std::vector<advice::Reason>& reasons);

// All blocks and years as a page to print (web/paper.css dresses it).
std::string season_paper(Frame& frame);

}  // namespace nthtree::screens
