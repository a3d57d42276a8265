// SPDX-License-Identifier: Apache-2.0
//
// What goes out of this phone without a network: a file for another phone, a chain of codes that
// its camera reads, tables for people.
//
//   hand_over.plan();   hand_over.give({.sheet = true});   hand_over.follow();
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "app/context.h"

namespace nthtree::app {

class HandOver {
 public:
  explicit HandOver(Context& context) : context_(context) {}

  void plan();        // measures the parts and makes the codes of the likely one
  void make_codes();  // of the chosen batch
  void give(const screens::HandOver& wish);
  void share(const screens::Share& wish);
  void show_code(int code);
  void imported(std::int64_t fresh);
  // Starts or ends the round of codes where the screen for it was opened or left.
  void follow();
  void on_wake();
  void on_codes(RequestId id, int codes, std::string_view detail);
  void on_code(int code, int modules_a_side, std::string_view modules);

 private:
  const screens::Showing& showing() const { return context_.session().exchange.showing; }
  std::int64_t code_ms() const;
  void order_codes_from(int code);
  void shuffle_codes();

  Context& context_;
  RequestId request_ = 0;         // the chain asked for last
  std::vector<int> order_;        // of this round
  std::size_t at_ = 0;            // in order_
  std::int64_t due_ms_ = -1;      // elapsed time of the next code; -1: none is shown
};

}  // namespace nthtree::app
