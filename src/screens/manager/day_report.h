// SPDX-License-Identifier: Apache-2.0
//
// The day's review as a page to print, made on the phone without a network: plain HTML in the
// present language, no scripts. web/paper.css dresses it: our type, lines and no colour that a
// farm printer would lose, pages numbered, no table without its head.
//
//   frame.want(PrintReport{day_report(season, review)});
#pragma once

#include <string>

#include "advice/review/day_review.h"
#include "ledger/season.h"

namespace nthtree::screens {

// The body of a page: header, sections, footer. Every name is escaped.
std::string day_report(const ledger::Season& season, const advice::DayReview& review);

// Text as it may stand in HTML.
std::string html(const std::string& text);

}  // namespace nthtree::screens
