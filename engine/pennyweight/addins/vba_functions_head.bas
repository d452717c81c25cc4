Attribute VB_Name = "PennyweightFunctions"
Option Explicit
' Functions of a small gold mill, without Python. Written by pennyweight.
' Import this file once: Alt+F11, File, Import File. Do not import the module
' of 'pennyweight excel new' into the same workbook: the names are the same.

Private Function DwtValue(given)
    ' Value2 keeps every digit of money; LibreOffice knows Value only.
    On Error GoTo plain
    DwtValue = given.Value2
    Exit Function
plain:
    DwtValue = given.Value
End Function

Private Function DwtCell(given)
    ' What one cell holds; several are #VALUE!.
    DwtCell = CVErr(2015)
    If given.Cells.Count = 1 Then DwtCell = DwtShownError(given, DwtValue(given))
End Function

Private Function DwtShownError(given, content)
    ' LibreOffice gives 0 for a cell that shows an error.
    DwtShownError = content
    If VarType(content) <> vbDouble Then Exit Function
    If content <> 0# Then Exit Function
    Select Case given.Text
        Case "#N/A": DwtShownError = CVErr(2042)
        Case "#VALUE!": DwtShownError = CVErr(2015)
        Case "#NUM!": DwtShownError = CVErr(2036)
        Case "#DIV/0!": DwtShownError = CVErr(2007)
        Case "#REF!": DwtShownError = CVErr(2023)
        Case "#NAME?": DwtShownError = CVErr(2029)
    End Select
End Function

Private Function DwtContent(given)
    If IsObject(given) Then DwtContent = DwtCell(given) Else DwtContent = given
End Function

Private Function DwtFault(content, needed)
    ' The error value of a content that is not a number; Empty where it is one.
    DwtFault = Empty
    If IsError(content) Then
        DwtFault = content
    ElseIf IsEmpty(content) Then
        If needed Then DwtFault = CVErr(2042)
    ElseIf VarType(content) = vbString Then
        DwtFault = CVErr(2015)
    ElseIf VarType(content) = vbBoolean Then
        DwtFault = CVErr(2015)
    ElseIf Not (IsNumeric(content) Or IsDate(content)) Then
        DwtFault = CVErr(2015)
    End If
End Function

Private Function DwtNumber(given, needed, fault)
    Dim content, found
    DwtNumber = Empty
    content = DwtContent(given)
    found = DwtFault(content, needed)
    If IsEmpty(fault) Then fault = found
    If IsEmpty(found) And Not IsEmpty(content) Then DwtNumber = CDbl(content)
End Function

Private Function DwtList(given, fault)
    ' The numbers of a range, one below the other.
    Dim cell, values() As Double, count As Long
    If IsObject(given) Then
        For Each cell In given.Cells
            ReDim Preserve values(count)
            values(count) = DwtItem(DwtCell(cell), fault)
            count = count + 1
        Next cell
    Else
        DwtList = DwtPlainList(given, fault)
        Exit Function
    End If
    DwtList = values
End Function

Private Function DwtPlainList(given, fault)
    Dim item, values() As Double, count As Long
    If Not IsArray(given) Then
        DwtPlainList = DwtPlainList(Array(given), fault)
        Exit Function
    End If
    For Each item In given
        ReDim Preserve values(count)
        values(count) = DwtItem(item, fault)
        count = count + 1
    Next item
    DwtPlainList = values
End Function

Private Function DwtItem(content, fault)
    Dim found
    DwtItem = 0#
    found = DwtFault(content, True)
    If IsEmpty(fault) Then fault = found
    If IsEmpty(found) Then DwtItem = CDbl(content)
End Function

Private Function DwtSwitch(given, needed, fault)
    Dim content, found
    DwtSwitch = Empty
    content = DwtContent(given)
    found = Empty
    If VarType(content) = vbBoolean Then
        DwtSwitch = content
    Else
        found = DwtFault(content, needed)
        If IsEmpty(found) And Not IsEmpty(content) Then
            If content = 0 Or content = 1 Then
                DwtSwitch = (content = 1)
            Else
                found = CVErr(2015)
            End If
        End If
    End If
    If IsEmpty(fault) Then fault = found
End Function

Private Function DwtWord(given, choices, needed, fault)
    ' The word as the function spells it.
    Dim content, found, choice
    DwtWord = Empty
    content = DwtContent(given)
    found = CVErr(2015)
    If IsError(content) Then
        found = content
    ElseIf IsEmpty(content) Then
        found = Empty
        If needed Then found = CVErr(2042)
    ElseIf VarType(content) = vbString Then
        For Each choice In Split(choices, "|")
            If LCase(Trim(content)) = LCase(choice) Then
                DwtWord = choice
                found = Empty
            End If
        Next choice
    End If
    If IsEmpty(fault) Then fault = found
End Function

Private Function DwtMax(one, other)
    If one > other Then DwtMax = one Else DwtMax = other
End Function

Private Function DwtMin(one, other)
    If one < other Then DwtMin = one Else DwtMin = other
End Function

Private Function DwtAcos(x)
    If Abs(x) > 1# Then Err.Raise 5
    If x = 1# Then
        DwtAcos = 0#
    ElseIf x = -1# Then
        DwtAcos = 4# * Atn(1#)
    Else
        DwtAcos = 2# * Atn(1#) - Atn(x / Sqr(1# - x * x))
    End If
End Function

Private Function DwtSum(values)
    Dim value
    DwtSum = 0#
    For Each value In values
        DwtSum = DwtSum + value
    Next value
End Function

Private Function DwtSumProduct(values, others)
    Dim place As Long
    DwtSumProduct = 0#
    If UBound(values) <> UBound(others) Then Err.Raise 13
    For place = LBound(values) To UBound(values)
        DwtSumProduct = DwtSumProduct + values(place) * others(place)
    Next place
End Function

Private Function DwtOutside(values, low, high, low_open, high_open)
    ' Whether any number is out of range.
    Dim value
    DwtOutside = False
    For Each value In values
        If value < low Or value > high Then DwtOutside = True
        If low_open And value = low Then DwtOutside = True
        If high_open And value = high Then DwtOutside = True
    Next value
End Function

