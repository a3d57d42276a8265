// SPDX-License-Identifier: Apache-2.0
//
// The size of the group that a typical count so far is in, counts of a group following each other:
// what a design effect is made of (L. Kish, Survey Sampling, 1965). Internal to advice/.
//
//   GroupSize rows;
//   rows.add(same_row_as_before);
//   const double counts_a_row = rows.typical();
#pragma once

namespace nthtree::advice {

class GroupSize {
 public:
  void add(bool same_group) {
    if (!same_group) {
      squares_ += open_ * open_;
      open_ = 0;
      ++groups_;
    }
    ++open_;
    ++counts_;
  }
  double counts() const { return counts_; }
  double groups() const { return groups_; }
  double typical() const { return counts_ > 0 ? (squares_ + open_ * open_) / counts_ : 1; }

 private:
  double squares_ = 0, open_ = 0, counts_ = 0, groups_ = 0;
};

}  // namespace nthtree::advice
