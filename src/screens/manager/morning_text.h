// SPDX-License-Identifier: Apache-2.0
//
// The morning's word to a gang: where, how many to leave, what the last day showed and what to do
// differently, what to go back to, how to come home whole. Plain lines in the present language, to
// read aloud, to print, or to send as text. Nobody is named unless that is asked for.
//
// Private to this folder.
//
//   const Spoken in_their_language(code);
//   const std::vector<MorningLine> word = morning_word(frame, gang, false);
#pragma once

#include <string>
#include <vector>

#include "advice/next/tomorrow.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

struct MorningLine {
  enum class Kind { title, heading, text };
  Kind kind = Kind::text;
  std::string text;
};

std::vector<MorningLine> morning_word(Frame& frame, const advice::Gang& gang, bool names);

std::string as_plain_text(const std::vector<MorningLine>& word);
std::string as_paper(const std::vector<MorningLine>& word);  // the body of a page, for PrintReport

// While it lives, texts are in that language.
class Spoken {
 public:
  explicit Spoken(const std::string& language) : before_(widgets::current_language()) {
    widgets::choose_language(language);
  }
  ~Spoken() { widgets::choose_language(before_); }
  Spoken(const Spoken&) = delete;
  Spoken& operator=(const Spoken&) = delete;

 private:
  std::string before_;
};

}  // namespace nthtree::screens
