// SPDX-License-Identifier: Apache-2.0
//
// A farm's papers as pages to print (parts/paper.h): one block, the crew's brief, tags for the
// trees that are counted. The day is manager/day_report.h, the season season_words.h. Private to
// this folder.
//
//   frame.want(PrintReport{block_paper(frame, "b1")});
#pragma once

#include <string>
#include <vector>

#include "screens/parts/frame.h"

namespace nthtree::screens {

std::string block_paper(Frame& frame, const std::string& block);
std::string brief_paper(Frame& frame, const std::string& block);
std::string tags_paper(Frame& frame, const std::string& block);

// The trees that tags are printed for: those counted, or else those that the block's stride meets.
std::vector<orchard::TreeAddress> tagged_trees(const ledger::BlockSeason& block);
inline constexpr std::size_t tags_max = 500;  // some twenty sheets

}  // namespace nthtree::screens
