// SPDX-License-Identifier: Apache-2.0
// Stands before the C library's strtod, for the JSON reader too: src/shell/CMakeLists.txt links
// with --wrap, so that only a number out of the ordinary asks for the library's own, which comes
// with the app's last part.
#include "base/decimal.h"

extern "C" {

double __real_strtod(const char* text, char** end);

double __wrap_strtod(const char* text, char** end) {
  const char* behind = nullptr;
  const auto value = nthtree::base::quick_decimal(text, behind);
  if (!value) return __real_strtod(text, end);
  if (end) *end = const_cast<char*>(behind);
  return *value;
}

}  // extern "C"
