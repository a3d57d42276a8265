// SPDX-License-Identifier: Apache-2.0
//
// The day's review as a page to print (parts/paper.h).
//
//   frame.want(PrintReport{day_report(season, review)});
#pragma once

#include <string>

#include "advice/review/day_review.h"
#include "ledger/season.h"

namespace nthtree::screens {

// The body of a page: header, sections, footer. Every name is escaped.
std::string day_report(const ledger::Season& season, const advice::DayReview& review);

}  // namespace nthtree::screens
