; The installer: programs, start menu, the program's own job files, and "open with" for drawings.
; The programs are for 64 bits; so is what installs them.
Target amd64-unicode
SetCompressor /SOLID lzma
!include "MUI2.nsh"
Name "Kerfcast"
OutFile "${OUT}"
InstallDir "$LOCALAPPDATA\Programs\Kerfcast"
InstallDirRegKey HKCU "Software\Kerfcast" "Folder"
; For the user alone, so that no administrator is needed.
RequestExecutionLevel user
!define MUI_ICON "${ROOT}/assets/icon/kerfcast.ico"
!define MUI_UNICON "${ROOT}/assets/icon/kerfcast.ico"
!insertmacro MUI_PAGE_WELCOME
!insertmacro MUI_PAGE_DIRECTORY
!insertmacro MUI_PAGE_INSTFILES
!insertmacro MUI_UNPAGE_CONFIRM
!insertmacro MUI_UNPAGE_INSTFILES
!insertmacro MUI_LANGUAGE "English"
!insertmacro MUI_LANGUAGE "German"
!define UNINSTALL "Software\Microsoft\Windows\CurrentVersion\Uninstall\Kerfcast"

Section
  SetOutPath "$INSTDIR"
  File /r "${FOLDER}/*"
  CreateDirectory "$SMPROGRAMS\Kerfcast"
  CreateShortcut "$SMPROGRAMS\Kerfcast\Kerfcast.lnk" "$INSTDIR\kerfcast.exe"
  WriteRegStr HKCU "Software\Kerfcast" "Folder" "$INSTDIR"
  WriteRegStr HKCU "Software\Classes\.kerfcast" "" "Kerfcast.Job"
  WriteRegStr HKCU "Software\Classes\Kerfcast.Job" "" "Kerfcast job"
  WriteRegStr HKCU "Software\Classes\Kerfcast.Job\DefaultIcon" "" "$INSTDIR\kerfcast.exe,0"
  WriteRegStr HKCU "Software\Classes\Kerfcast.Job\shell\open\command" "" '"$INSTDIR\kerfcast.exe" "%1"'
  ; A drawing's usual program stays what it is; Kerfcast is one to open it with.
  WriteRegStr HKCU "Software\Classes\Applications\kerfcast.exe" "FriendlyAppName" "Kerfcast"
  WriteRegStr HKCU "Software\Classes\Applications\kerfcast.exe\shell\open\command" "" '"$INSTDIR\kerfcast.exe" "%1"'
  WriteRegStr HKCU "Software\Classes\Applications\kerfcast.exe\SupportedTypes" ".dxf" ""
  WriteRegStr HKCU "Software\Classes\.dxf\OpenWithList\kerfcast.exe" "" ""
  WriteUninstaller "$INSTDIR\uninstall.exe"
  WriteRegStr HKCU "${UNINSTALL}" "DisplayName" "Kerfcast"
  WriteRegStr HKCU "${UNINSTALL}" "DisplayVersion" "${VERSION}"
  WriteRegStr HKCU "${UNINSTALL}" "DisplayIcon" "$INSTDIR\kerfcast.exe"
  WriteRegStr HKCU "${UNINSTALL}" "UninstallString" '"$INSTDIR\uninstall.exe"'
  System::Call 'shell32::SHChangeNotify(i 0x08000000, i 0, p 0, p 0)'
SectionEnd

; The shop's own files lie elsewhere and stay.
Section "Uninstall"
  Delete "$SMPROGRAMS\Kerfcast\Kerfcast.lnk"
  RMDir "$SMPROGRAMS\Kerfcast"
  Delete "$INSTDIR\kerfcast.exe"
  Delete "$INSTDIR\kerfcast-cli.exe"
  Delete "$INSTDIR\README.md"
  Delete "$INSTDIR\LICENSE-*"
  Delete "$INSTDIR\licences.txt"
  Delete "$INSTDIR\uninstall.exe"
  RMDir /r "$INSTDIR\sample_drawings"
  RMDir "$INSTDIR"
  DeleteRegKey HKCU "Software\Classes\.kerfcast"
  DeleteRegKey HKCU "Software\Classes\Kerfcast.Job"
  DeleteRegKey HKCU "Software\Classes\Applications\kerfcast.exe"
  DeleteRegKey HKCU "Software\Classes\.dxf\OpenWithList\kerfcast.exe"
  DeleteRegKey /ifempty HKCU "Software\Classes\.dxf\OpenWithList"
  DeleteRegKey /ifempty HKCU "Software\Classes\.dxf"
  DeleteRegKey HKCU "${UNINSTALL}"
  DeleteRegKey HKCU "Software\Kerfcast"
  System::Call 'shell32::SHChangeNotify(i 0x08000000, i 0, p 0, p 0)'
SectionEnd
