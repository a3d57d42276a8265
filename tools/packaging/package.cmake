# SPDX-License-Identifier: Apache-2.0
# The hub as a Debian package, with the app's site beside it where that is built (tools/package).
include(GNUInstallDirs)
set(NTHTREE_SITE ${CMAKE_SOURCE_DIR}/build/wasm/site CACHE PATH "The app's site, for the package")
set(share share/nthtree-hub)

install(TARGETS nthtree-hub RUNTIME DESTINATION bin)
install(DIRECTORY ${NTHTREE_SITE}/ DESTINATION ${share}/site OPTIONAL)
install(FILES tools/packaging/nthtree-hub.service DESTINATION lib/systemd/system)
install(FILES tools/packaging/hub.conf DESTINATION /etc/nthtree-hub)
install(FILES LICENSE tools/packaging/THIRD_PARTY.md DESTINATION share/doc/nthtree-hub)
install(FILES tools/packaging/README.md DESTINATION share/doc/nthtree-hub)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME nthtree-hub)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_CONTACT "the makers of Nthtree <nthtree@localhost>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "keeps a farm's pruning records, and serves the app")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION misc)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS adduser)
set(control ${CMAKE_SOURCE_DIR}/tools/packaging/debian)
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA
  ${control}/postinst ${control}/prerm ${control}/postrm ${control}/conffiles)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
include(CPack)
