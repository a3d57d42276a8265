// SPDX-License-Identifier: Apache-2.0
//
// Where a test finds the files it reads. One source file alone knows the folders' names, so that the
// other ones compile to the same object wherever the project stands.
#pragma once

#include <string>

namespace nthtree::test {

// The full path of a file of the project: in_project("assets/varieties.json").
std::string in_project(const std::string& path);

// The full path of a face made for the app: face_file("DejaVuSansCondensed").
std::string face_file(const std::string& face);

}  // namespace nthtree::test
