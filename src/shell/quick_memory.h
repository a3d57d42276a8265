// SPDX-License-Identifier: Apache-2.0
//
// Copying, filling and comparing bytes eight at a time. The C library that Emscripten takes where
// the app is linked for size (-Oz) goes byte by byte: a sixth of the time in which a season is
// opened. quick_memory.cpp gives these the C library's names; here they are, to be tested.
//
// Invariant: no byte outside of what is named is read or written. WebAssembly reads and writes at
// any address, so nothing is aligned first.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>

namespace nthtree::shell {

using Word = std::uint64_t;

// Of constant size: one instruction each, and no call.
inline Word word_at(const char* from) {
  Word word;
  __builtin_memcpy(&word, from, sizeof word);
  return word;
}
inline void put_word(char* to, Word word) { __builtin_memcpy(to, &word, sizeof word); }

// Upwards; the two may be one above the other where `to` is the lower one.
inline void copy_up(char* to, const char* from, std::size_t bytes) {
  for (; bytes >= sizeof(Word); bytes -= sizeof(Word)) {
    put_word(to, word_at(from));
    to += sizeof(Word);
    from += sizeof(Word);
  }
  while (bytes-- > 0) *to++ = *from++;
}

// Downwards: where `to` is the higher one.
inline void copy_down(char* to, const char* from, std::size_t bytes) {
  for (; bytes >= sizeof(Word); bytes -= sizeof(Word)) {
    put_word(to + bytes - sizeof(Word), word_at(from + bytes - sizeof(Word)));
  }
  while (bytes-- > 0) to[bytes] = from[bytes];
}

inline void fill(char* to, char byte, std::size_t bytes) {
  const Word all = static_cast<unsigned char>(byte) * Word{0x0101010101010101u};
  for (; bytes >= sizeof(Word); bytes -= sizeof(Word)) {
    put_word(to, all);
    to += sizeof(Word);
  }
  while (bytes-- > 0) *to++ = byte;
}

// As memcmp: below, at or above zero, by the first byte that differs.
inline int compare(const char* one, const char* other, std::size_t bytes) {
  for (; bytes >= sizeof(Word) && word_at(one) == word_at(other); bytes -= sizeof(Word)) {
    one += sizeof(Word);
    other += sizeof(Word);
  }
  for (; bytes > 0; --bytes, ++one, ++other) {
    if (*one == *other) continue;
    return static_cast<unsigned char>(*one) - static_cast<unsigned char>(*other);
  }
  return 0;
}

}  // namespace nthtree::shell
