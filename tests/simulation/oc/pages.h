// SPDX-License-Identifier: Apache-2.0
//
// The pages and plots of operating characteristics, one function a page. `days` scales the work:
// 200 for a look, 4000 for the published pages.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace nthtree::oc {

struct Page {
  std::string file, text;
};
struct Effort {
  int days = 2000;
  std::uint64_t seed = 7;  // constants were set with others
};

std::vector<Page> rates_pages(const Effort& effort);        // ours and rivals, four spreads
std::vector<Page> bound_pages(const Effort& effort);        // what any test could reach
std::vector<Page> curve_pages(const Effort& effort);        // −40 … +200 %
std::vector<Page> broken_pages(const Effort& effort);       // assumptions that fail
std::vector<Page> uncertain_pages(const Effort& effort);    // target and counting known in part
std::vector<Page> crew_pages(const Effort& effort);         // crews of 1 … 40, calibration
std::vector<Page> against_pages(const Effort& effort);      // one pruner beside the others
std::vector<Page> drift_pages(const Effort& effort);        // delays
std::vector<Page> unchecked_pages(const Effort& effort);    // what re-counts buy
std::vector<Page> farm_pages(const Effort& effort);         // whole farms, every hour
std::vector<Page> minutes_pages(const Effort& effort);      // limbs, scores, the lead's walk
std::vector<Page> back_pages(const Effort& effort);      // what going back is worth
std::vector<Page> stride_pages(const Effort& effort);       // trees pruned wrongly meanwhile

}  // namespace nthtree::oc
