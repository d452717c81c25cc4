Attribute VB_Name = "Pennyweight"
Option Explicit
' Written by pennyweight; 'pennyweight excel refresh' writes it anew.
Private LastFailure As String

Public Function DWT_CELLS(answer)
    ' Text markers become true error values; all else stays as it is.
    Dim row As Long, column As Long
    If Not IsArray(answer) Then
        DWT_CELLS = DWT_CELL(answer)
    ElseIf DWT_IS_ROW(answer) Then
        For column = LBound(answer) To UBound(answer)
            answer(column) = DWT_CELL(answer(column))
        Next column
        DWT_CELLS = answer
    Else
        For row = LBound(answer, 1) To UBound(answer, 1)
            For column = LBound(answer, 2) To UBound(answer, 2)
                answer(row, column) = DWT_CELL(answer(row, column))
            Next column
        Next row
        DWT_CELLS = answer
    End If
End Function

Private Function DWT_CELL(content)
    DWT_CELL = content
    If VarType(content) <> vbString Then Exit Function
    Select Case content
        Case "#N/A": DWT_CELL = CVErr(2042)
        Case "#VALUE!": DWT_CELL = CVErr(2015)
        Case "#NUM!": DWT_CELL = CVErr(2036)
        Case "#DIV/0!": DWT_CELL = CVErr(2007)
        Case "#REF!": DWT_CELL = CVErr(2023)
        Case "#NAME?": DWT_CELL = CVErr(2029)
        Case "#NULL!": DWT_CELL = CVErr(2000)
    End Select
End Function

Private Function DWT_IS_ROW(answer) As Boolean
    Dim last As Long
    On Error GoTo one
    last = UBound(answer, 2)
    Exit Function
one:
    DWT_IS_ROW = True
End Function

Private Function DWT_PLACE() As String
    ' The cell that asks; nothing when a macro does.
    On Error GoTo nowhere
    DWT_PLACE = Application.Caller.Address(External:=True)
nowhere:
End Function

Private Function DWT_ADDRESS(cell)
    If IsObject(cell) Then
        DWT_ADDRESS = cell.Address(External:=True)
    Else
        DWT_ADDRESS = cell
    End If
End Function

Private Function DWT_FAILED(name As String, description As String)
    ' Python was not reached: the cell shows #VALUE!, DWT_REASON says why.
    LastFailure = name & ": " & description
    DWT_FAILED = CVErr(2015)
End Function

Private Sub DWT_RUN(job As String)
    RunPython "from pennyweight.addins.excel import buttons; buttons." & job & "()"
End Sub

Public Sub DWT_DO_JUDGE()
    DWT_RUN "judge"
End Sub

Public Sub DWT_DO_COMPARE()
    DWT_RUN "compare"
End Sub

Public Sub DWT_DO_RISK()
    DWT_RUN "risk"
End Sub

Public Sub DWT_DO_CHANCES()
    ' The former name of DWT_DO_RISK.
    DWT_RUN "risk"
End Sub

